"""`ropewright gear points`, `inspect` and `check`: what an inspection looks at, and what it found."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.crew_text import as_json_text
from ropewright.cli.gear_doing import act_of, act_options, do, says_no, tag_argument
from ropewright.cli.options import json_option
from ropewright.cli.store_options import open_store
from ropewright.cli.text_table import WIDTH
from ropewright.errors import FileError, InputError
from ropewright.findings import SourceStatus

if TYPE_CHECKING:
    from ropewright.store.gear_piece import Piece
    from ropewright.store.gear_points import Answer, Point
    from ropewright.store.gear_words import GearKind
    from ropewright.store.ledger import Ledger

__all__ = ["check", "inspect", "points"]


@click.command(epilog="Example: ropewright gear points rope")
@click.argument("kind")
@click.option("--before-use", is_flag=True, help="Only what its user looks at before each use.")
@json_option
@says_no
def points(*, kind: str, before_use: bool, as_json: bool) -> None:
    """Print what an inspection of a KIND of gear looks at, with the source of each point."""
    from ropewright.store.gear_points import points_of
    from ropewright.store.gear_words import read_kind

    found = points_of(read_kind(kind, "KIND"), before_use=before_use)
    if as_json:
        click.echo(
            as_json_text({"kind": read_kind(kind, "KIND").name, "points": [_point_json(point) for point in found]})
        )
    else:
        click.echo("\n".join(_point_lines(found)))


def _point_json(point: Point) -> dict[str, Any]:
    return {
        "point": point.key,
        "look_for": point.look_for,
        "fault": "retire" if point.retires else "quarantine",
        "before_use": point.before_use,
        "may_not_apply": point.may_not_apply,
        "source": str(point.source),
        "note": point.note,
    }


def _point_lines(found: Sequence[Point]) -> Iterator[str]:
    wide = max(len(point.key) for point in found)
    for point in found:
        marks = [
            "a fault retires it" if point.retires else "",
            "na where there is none" if point.may_not_apply else "",
            # practice has no place to cite
            point.source.document if point.source.status is SourceStatus.PRACTICE else str(point.source),
        ]
        told = f"{point.look_for} [{'; '.join(filter(None, marks))}]"
        yield from wrap(told, WIDTH, initial_indent=f"{point.key:<{wide}}  ", subsequent_indent=" " * (wide + 2))


def _answer_options(command: Any) -> Any:
    for option in (
        click.option(
            "--photo", "photos", multiple=True, metavar="POINT=FILE", help="Picture of a point, kept as it is."
        ),
        click.option(
            "--note", "notes", multiple=True, metavar="[POINT=]TEXT", help="Note on a point, or on the whole."
        ),
        click.option(
            "--all-ok",
            is_flag=True,
            help="Every point that no --answer names was looked at and is in order; lists them.",
        ),
        click.option(
            "--answer", "answers", multiple=True, metavar="POINT=ANSWER", help="ok, fault or na; once for each point."
        ),
    ):
        command = option(command)
    return command


@click.command(
    epilog='Example: ropewright gear inspect R-001 --all-ok --answer inside=na --wear good --by "A. Example"'
)
@tag_argument
@_answer_options
@click.option("--wear", type=click.Choice(["new", "good", "worn"]), help="What the inspector calls it.")
@click.option("--competent", default="", metavar="GROUNDS", help="What makes --by a competent person.")
@act_options
def inspect(
    ctx: click.Context,
    /,
    *,
    tag: str,
    wear: str | None,
    competent: str,
    by: str | None,
    on: str | None,
    as_json: bool,
    **told: Any,
) -> None:
    """Record an inspection, point by point ('ropewright gear points KIND' lists them).

    A point nobody answered is not in order; any fault takes the piece out of service in the same write. Exit status 1
    where it did not pass.
    """
    from ropewright.store import gear_actions

    act = act_of(by, on)
    record = open_store(ctx)
    answers, note = _answers(record, tag, told, as_json=as_json)
    inspected = do(
        ctx,
        lambda record: gear_actions.inspect(record, tag, answers, act, wear=wear, competent=competent, note=note),
        as_json=as_json,
    )[0]
    if not as_json and _lacks_examiner(inspected):
        notice = f"Nothing says that {act.by} is a competent person (--competent): the rules' interval is not renewed."
        click.echo("\n".join(wrap(notice, WIDTH)))
    _passed(record, tag, answers, before_use=False, as_json=as_json)


@click.command(epilog='Example: ropewright gear check H-001 --all-ok --by "P. Sample"')
@tag_argument
@_answer_options
@act_options
def check(ctx: click.Context, /, *, tag: str, by: str | None, on: str | None, as_json: bool, **told: Any) -> None:
    """Record the look that its user takes at a piece before each use (29 CFR 1926.502(d)(21)).

    Exit status 1 where it is not in order; a fault takes it out of service in the same write.
    """
    from ropewright.store import gear_actions

    act = act_of(by, on)
    record = open_store(ctx)
    answers, note = _answers(record, tag, told, before_use=True, as_json=as_json)
    do(ctx, lambda record: gear_actions.check(record, tag, answers, act, note=note), as_json=as_json)
    _passed(record, tag, answers, before_use=True, as_json=as_json)


def _lacks_examiner(piece: Piece) -> bool:
    """Whether an interval of the rules in force was left as it was."""
    ruled = (piece.body["intervals"] or {}).get("inspect")
    return bool(ruled) and piece.body["examined"] != piece.body["passed"]


def _kind_of(record: Ledger, tag: str) -> GearKind:
    from ropewright.store.gear_piece import known_piece

    with record.read() as view:
        return known_piece(view, tag, "TAG").kind


def _answers(
    record: Ledger, tag: str, told: dict[str, Any], *, as_json: bool, before_use: bool = False
) -> tuple[tuple[Answer, ...], str]:
    """Answers to the points, and the note on the whole."""
    from ropewright.store.gear_points import points_of, read_answers

    kind = _kind_of(record, tag)
    answers = {point: answer.lower() for point, answer in _pairs("--answer", told["answers"]).items()}
    notes = _pairs("--note", [text for text in told["notes"] if "=" in text])
    whole = "; ".join(text for text in told["notes"] if "=" not in text)
    if told["all_ok"]:
        open_points = [one for one in points_of(kind, before_use=before_use) if one.key not in answers]
        click.echo("Answered ok, each of:", err=as_json)
        click.echo("\n".join(_point_lines(open_points)) if open_points else "(none left)", err=as_json)
        answers |= {point.key: "ok" for point in open_points}
    if not answers:
        raise InputError("--answer", None, f"answer the points ('ropewright gear points {kind.name}'), or --all-ok")
    photos = {point: _kept(record, name) for point, name in _pairs("--photo", told["photos"]).items()}
    return read_answers(kind, answers, notes=notes, photos=photos, before_use=before_use), whole


def _pairs(option: str, texts: Sequence[str]) -> dict[str, str]:
    """Points with what is said of each; a point said twice is refused, since the worse must not be lost."""
    found: dict[str, str] = {}
    for text in texts:
        point, equals, value = (part.strip() for part in text.partition("="))
        if not equals or not point:
            raise InputError(option, text, "write it as POINT=..., such as cuts=ok")
        if point in found:
            raise InputError(option, text, f"{point} is told twice; give it once")
        found[point] = value
    return found


def _kept(record: Ledger, name: str) -> str:
    """Hash under which the record keeps a photo from now on."""
    from ropewright.store.kept_files import kind_of

    try:
        content = Path(name).read_bytes()
    except OSError as error:
        raise FileError("--photo", name, f"give a picture that can be read ({error.strerror})") from error
    kind = kind_of(content)
    if kind is None:
        raise FileError("--photo", name, "give a picture: JPEG, PNG or WebP")
    return record.keep_file(content, kind)


def _passed(record: Ledger, tag: str, answers: Sequence[Answer], *, before_use: bool, as_json: bool) -> None:
    """Say what the look came to, and end with status 1 where it was not passed."""
    from ropewright.store.gear_points import looked

    result = looked(_kind_of(record, tag), answers, before_use=before_use)
    if result.passed:
        return
    if not as_json:
        faults = [point.key for point in result.faults]
        told = [f"fault at {', '.join(faults)}"] if faults else []
        told += [f"not answered, so not in order: {', '.join(result.missing)}"] if result.missing else []
        click.echo("\n".join(wrap(f"Not passed: {'; '.join(told)}.", WIDTH)))
    sys.exit(1)
