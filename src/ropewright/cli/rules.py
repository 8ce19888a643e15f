"""`ropewright rules`: list, explain and compare rules packs, and put facts to them."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.errors import shows_input_errors
from ropewright.errors import InputError, InputErrors, RulesError

if TYPE_CHECKING:  # the rules are read only when a command runs, so that --help stays quick
    from ropewright.rules import Pack

__all__ = ["rules"]

_json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
_local_option = click.option(
    "--local", type=click.Path(path_type=Path), help="File of your own rules, laid over the pack."
)


@click.group(invoke_without_command=True, epilog="Example: ropewright rules")
@_json_option
@click.pass_context
@shows_input_errors
def rules(ctx: click.Context, *, as_json: bool) -> None:
    """List the rules packs; explain, compare and ask them."""
    if ctx.invoked_subcommand is not None:
        return
    from ropewright.cli import rules_text
    from ropewright.rules import load_pack, pack_names
    from ropewright.rules.document import head_document

    packs = [load_pack(name) for name in pack_names()]
    _print(as_json, lambda: {"packs": [head_document(pack) for pack in packs]}, lambda: rules_text.pack_list(packs))


@rules.command(epilog="Example: ropewright rules explain us-construction free_fall")
@click.argument("pack")
@click.argument("name", required=False)
@_local_option
@_json_option
@shows_input_errors
def explain(pack: str, name: str | None, local: Path | None, *, as_json: bool) -> None:
    """Say what a pack asks: all of it, or the limit, fact or term of a NAME."""
    from ropewright.cli import rules_text
    from ropewright.rules.document import pack_document

    loaded = _load(pack, local)
    if name is None:
        _print(as_json, lambda: pack_document(loaded), lambda: rules_text.whole_pack(loaded))
        return
    chosen = _named(loaded, name)
    _print(as_json, lambda: pack_document(chosen, chosen.limits), lambda: rules_text.explained(chosen))


@rules.command(epilog="Example: ropewright rules compare us-construction us-general-industry --fact gate_strength")
@click.argument("packs", nargs=-1, required=True)
@click.option("--fact", default="", help="Only this fact.")
@_json_option
@shows_input_errors
def compare(packs: tuple[str, ...], fact: str, *, as_json: bool) -> None:
    """Set packs side by side, fact by fact."""
    from ropewright.cli import rules_text
    from ropewright.rules import compare as compare_packs
    from ropewright.rules.document import comparison_document

    loaded = [_load(pack, None) for pack in packs]
    rows = compare_packs(loaded, fact)
    _print(as_json, lambda: comparison_document(loaded, rows), lambda: rules_text.comparison(loaded, rows))


@rules.command(epilog='Example: ropewright rules check us-construction user_mass="310 lb" free_fall="7 ft"')
@click.argument("pack")
@click.argument("facts", nargs=-1, metavar="FACT=VALUE...")
@_local_option
@_json_option
@shows_input_errors
def check(pack: str, facts: tuple[str, ...], local: Path | None, *, as_json: bool) -> None:
    """Put facts to a pack: what holds, what does not, and what somebody must decide.

    Figures take a unit ("310 lb", "4 kN to 6 kN"); others take yes, no or a word; what nobody knows is "unknown".

    Exit status: 0 everything holds, 1 something fails, is doubtful or must be asked, 2 the input can't be used.
    """
    from ropewright.cli import rules_text
    from ropewright.findings import Verdict, worst
    from ropewright.rules import check as check_facts
    from ropewright.rules import read_facts
    from ropewright.rules.document import check_document

    loaded = _load(pack, local)
    told = _told(facts)
    findings = check_facts(loaded, told)
    known = read_facts(told)
    _print(
        as_json,
        lambda: check_document(loaded, known, findings),
        lambda: rules_text.answers(loaded, known, findings),
    )
    sys.exit(0 if worst(finding.verdict for finding in findings) is Verdict.HOLDS else 1)


@rules.command(epilog="Example: ropewright rules facts us-construction")
@click.argument("pack")
@_local_option
@_json_option
@shows_input_errors
def facts(pack: str, local: Path | None, *, as_json: bool) -> None:
    """List the facts that a pack can be told."""
    from ropewright.cli import rules_text
    from ropewright.rules.document import fact_document

    loaded = _load(pack, local)
    listed = [fact_document(name, loaded) for name in loaded.facts_told]
    _print(as_json, lambda: {"pack": loaded.id, "facts": listed}, lambda: rules_text.fact_list(loaded))


def _load(pack: str, local: Path | None) -> Pack:
    from ropewright.rules import load_pack

    return load_pack(pack, overlay=local)


def _named(pack: Pack, name: str) -> Pack:
    """Return the pack with only what a name means: a limit, a fact, a term, an allowance or a conflict."""
    import difflib
    from dataclasses import replace

    plain = name.replace("-", "_")
    limits = tuple(one for one in pack.limits if one.id == name) or tuple(
        one for one in pack.limits if one.fact == plain
    )
    touched = {limit.fact for limit in limits} | {plain}
    chosen = replace(
        pack,
        limits=limits,
        definitions={term: one for term, one in pack.definitions.items() if term in touched},
        allowances={key: one for key, one in pack.allowances.items() if key == plain},
        conflicts=tuple(one for one in pack.conflicts if one.id == name or touched & set(one.about)),
    )
    if chosen.limits or chosen.definitions or chosen.allowances or chosen.conflicts:
        return chosen
    known = [*pack.facts, *(limit.id for limit in pack.limits), *pack.definitions, *pack.allowances]
    near = difflib.get_close_matches(name, known, n=1)
    hint = f"did you mean {near[0]!r}? " if near else ""
    raise RulesError("name", name, f"{hint}'ropewright rules explain {pack.id}' lists all there is")


def _told(pairs: Iterable[str]) -> dict[str, object]:
    """Facts as they stand on the command line; all faults at once."""
    from ropewright.rules import read_fact

    told: dict[str, object] = {}
    faults: list[InputError] = []
    for pair in pairs:
        name, equals, value = (part.strip() for part in pair.partition("="))
        try:
            if not equals:
                raise RulesError("fact", pair, "write it as fact=value, such as free_fall='4 ft'")
            if name in told:
                raise RulesError(name, value, "told twice; give it once")
            told[name] = None if value.lower() == "unknown" else read_fact(name, value)
        except InputError as error:
            faults.append(error)
    if not told and not faults:
        faults.append(RulesError("fact", None, "give at least one fact, such as free_fall='4 ft'"))
    if faults:
        raise faults[0] if len(faults) == 1 else InputErrors("facts", faults)
    return told


def _print(as_json: bool, document: Callable[[], Any], text: Callable[[], str]) -> None:
    click.echo(json.dumps(document(), indent=2, ensure_ascii=False, allow_nan=False) if as_json else text())
