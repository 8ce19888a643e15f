"""The command `ropewright`; each command's module is imported only when that command is called."""

from __future__ import annotations

import click

from ropewright import __version__
from ropewright.cli.lazy import LazyGroup
from ropewright.cli.store_options import keep_store, store_option

__all__ = ["main", "run"]

#: Command -> module that holds it under the same name, and its line in the list; so that ``--help`` imports none.
_COMMANDS: dict[str, tuple[str, str]] = {
    "plan": ("ropewright.cli.plan", "Work out a job: findings, a map and a plan on paper."),
    "anchors": ("ropewright.cli.anchors", "Say where anchors must go, with the proof that fewer won't do."),
    "new": ("ropewright.cli.new", "Write a commented job file to start from."),
    "fall": ("ropewright.cli.fall", "Say what one fall does: force, distances, time."),
    "cable": ("ropewright.cli.cable", "Say what a horizontal line carries and how far it gives."),
    "haul": ("ropewright.cli.haul", "Say what a haul takes: pull, rope, people."),
    "edge": ("ropewright.cli.edge", "Say what friction and a bend do to a rope."),
    "rope": ("ropewright.cli.rope", "Say what rope is worth: strength today, stretch, tests of a batch."),
    "cut": ("ropewright.cli.cut", "Cut pieces off the spools in stock with the least waste."),
    "knot": ("ropewright.cli.knot", "Show how a knot is tied, what rope it takes and what strength it leaves."),
    "stow": ("ropewright.cli.stow", "Say what a rope put away weighs, what room it takes, what twist it has."),
    "gear": ("ropewright.cli.gear", "Keep the record of ropes and other gear, from purchase to the bin."),
    "crew": ("ropewright.cli.crew", "Keep the record of people: training, skills, what is missing before a job."),
    "rules": ("ropewright.cli.rules", "List, explain, compare and ask the rules packs."),
    "serve": ("ropewright.cli.serve", "Serve the pages on this machine alone: jobs, record, teaching."),
    "roof": ("ropewright.cli.roof", "Say what roofs a file holds: facets, pitches, edges."),
}

CAUTION = (
    "A planning aid. The law, the maker's instructions and the competent or qualified person on site decide; "
    "damaged or fallen-on gear is out of service whatever a number says."
)


@click.group(
    cls=LazyGroup,
    table={name: (module, name, line) for name, (module, line) in _COMMANDS.items()},
    epilog=f"Example: ropewright plan examples/gable-house.toml --out out\n\n{CAUTION}",
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, prog_name="ropewright")
@store_option
@click.pass_context
def main(ctx: click.Context, store: str | None) -> None:
    """Fall protection worked out on the real roof: lines, anchors, falls, findings and a plan on paper."""
    keep_store(ctx, store)


def run() -> None:
    """Run the command; what nobody foresaw ends in one line and exit status 3, its details in a file for a report."""
    try:
        main()
    except Exception as error:  # noqa: BLE001 - the outermost rim: a roofer must not be shown a traceback
        import sys
        import tempfile
        import traceback
        from pathlib import Path

        with tempfile.NamedTemporaryFile("w", prefix="ropewright-", suffix=".txt", delete=False) as file:
            traceback.print_exc(file=file)
        told = f"{type(error).__name__}: {error}".splitlines()[0]
        click.echo(
            f"error: Ropewright itself failed ({told}). Nothing was decided; don't rely on what was shown. "
            f"Details for a report: {Path(file.name)}",
            err=True,
        )
        sys.exit(3)
