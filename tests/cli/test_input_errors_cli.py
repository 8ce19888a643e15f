"""Input faults reach the user in one line each, and the exit status is 2."""

from __future__ import annotations

import click
import pytest
from click.testing import CliRunner

from ropewright.cli.errors import shows_input_errors
from ropewright.errors import FileError, InputError, InputErrors, QuantityError, RoofError, RulesError


def run(error: BaseException | None) -> tuple[int, str, str]:
    @click.command()
    @shows_input_errors
    def command() -> None:
        if error is not None:
            raise error
        click.echo("done")

    result = CliRunner().invoke(command)
    return result.exit_code, result.stdout, result.stderr


@pytest.mark.parametrize("kind", [InputError, QuantityError, RoofError, RulesError, FileError])
def test_every_kind_of_fault_is_one_line_and_status_2(kind: type[InputError]) -> None:
    assert run(kind("height", "3", "give a length")) == (2, "", "error: height: got '3'; give a length\n")


def test_every_fault_of_a_group_has_its_line() -> None:
    faults = [RoofError("a", 1, "x"), InputErrors("inner", [FileError("b", None, "y"), QuantityError("c", 2, "z")])]
    code, out, err = run(InputErrors("all", faults))  # type: ignore[arg-type]
    assert (code, out) == (2, "")
    assert err.splitlines() == ["error: a: got 1; x", "error: b: missing; y", "error: c: got 2; z"]


def test_nothing_wrong_passes_through() -> None:
    assert run(None) == (0, "done\n", "")


def test_programming_mistakes_are_not_hidden() -> None:
    result = CliRunner().invoke(click.command()(shows_input_errors(lambda: {}["missing"])))
    assert isinstance(result.exception, KeyError)
