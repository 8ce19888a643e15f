"""`ropewright plan`: the main job, from a job file to findings, a map and a PDF."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import WholeNumber
from ropewright.cli.store_options import is_store_given, open_store
from ropewright.errors import FileError, InputError

if TYPE_CHECKING:
    from ropewright.job.assessment import Assessment
    from ropewright.job.model import Job

__all__ = ["plan", "shows_progress"]


@click.command(epilog="Example: ropewright plan examples/gable-house.toml --out out")
@click.argument("job_file", metavar="JOB.toml", type=click.Path(path_type=Path))
@click.option(
    "--out", "folder", type=click.Path(path_type=Path), help="Folder for findings.json, map.svg and plan.pdf."
)
@click.option(
    "--draws",
    type=WholeNumber(0, 100_000),
    metavar="N",
    help="Draw the inputs N times at each edge point, and say how doubtful force and clearance are.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the findings as one JSON document.")
@click.pass_context
@shows_input_errors
def plan(ctx: click.Context, /, *, job_file: Path, folder: Path | None, draws: int | None, as_json: bool) -> None:
    """Work out a job: findings, a map and a plan on paper.

    With a record (ropewright --store FILE plan ...) ropes and people that the job names by tag and code are looked up
    in it: their real length, strength and state count, and unfit gear or a missing certificate fails.

    Exit status: 0 everything holds, 1 something fails, is doubtful or must be asked, 2 the input can't be used.
    """
    from ropewright.findings import Verdict
    from ropewright.job import assess, read_job
    from ropewright.sheets.document import findings_json
    from ropewright.sheets.summary import summary_text

    job = read_job(job_file)
    if draws is not None:
        job = replace(job, draws=draws)
    job = _looked_up(ctx, job)
    with shows_progress() as report:
        assessment = assess(job, progress=report)
        written = _write(assessment, folder, report) if folder else ()
    if as_json:
        click.echo(findings_json(assessment))
    else:
        click.echo(summary_text(assessment, written))
    sys.exit(0 if assessment.verdict is Verdict.HOLDS else 1)


def _looked_up(ctx: click.Context, job: Job) -> Job:
    """Return the job with what the record says of its gear and people, where a record is given."""
    if not is_store_given(ctx):
        return job
    from ropewright.job.real_gear import with_record
    from ropewright.job.recorded import names_any, recorded_of
    from ropewright.store.day import today

    try:
        record = open_store(ctx, create=False)
    except InputError:
        if names_any(job):
            raise
        return job  # the environment may name a record that nobody has begun yet
    with record.read() as view:
        return with_record(job, recorded_of(view, job, today()))


def _write(assessment: Assessment, folder: Path, report: Callable[[str, float], None]) -> tuple[Path, ...]:
    from ropewright.sheets.plan_files import write_plan

    try:
        written = write_plan(assessment, folder, report)
    except OSError as error:
        raise FileError("--out", str(folder), f"give a folder that can be written to ({error.strerror})") from error
    report("done", 1.0)
    return written


@contextmanager
def shows_progress() -> Iterator[Callable[[str, float], None]]:
    """Show how far the work is, on a terminal only."""
    with click.progressbar(
        length=100, label="reading", file=sys.stderr, hidden=not sys.stderr.isatty(), show_eta=False
    ) as bar:

        def report(doing: str, share: float) -> None:
            bar.label = f"{doing:<24}"
            bar.update(round(100 * share) - bar.pos)

        yield report
