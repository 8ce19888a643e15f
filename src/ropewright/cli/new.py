"""`ropewright new`: a commented job file to start from."""

from __future__ import annotations

from pathlib import Path

import click

from ropewright.cli.errors import shows_input_errors
from ropewright.errors import FileError

__all__ = ["new"]


@click.command(epilog="Example: ropewright new my-roof.toml --units us")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--units", type=click.Choice(["us", "metric"]), default="us", show_default=True, help="Units written in it."
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@shows_input_errors
def new(file: Path, units: str, *, force: bool, as_json: bool) -> None:
    """Write a commented job file to start from."""
    from ropewright.job.template import new_job_text
    from ropewright.sheets.writing import write_text_atomic

    if file.exists() and not force:
        raise FileError(str(file), "a file that is there", "give another name, or --force to write over it")
    write_text_atomic(file, new_job_text(units))
    if as_json:
        import json

        click.echo(json.dumps({"written": str(file), "units": units}))
        return
    click.echo(f"Wrote {file}. Fill it in, then: ropewright plan {file} --out out")
