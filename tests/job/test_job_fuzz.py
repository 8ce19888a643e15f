"""Whatever stands in a job file, only errors that a user can mend come out."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ropewright.errors import InputError, InputErrors
from ropewright.job import changed, job_from_mapping, new_job_text, read_job
from ropewright.job.reading import segment

TEXT = new_job_text("us")
RAW = tomllib.loads(TEXT)

#: What people and programs put where something else belongs.
VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**40), 10**40),
    st.floats(),
    st.text(max_size=12),
    st.sampled_from(
        [
            "",
            "6 ft",
            "-6 ft",
            "0 m",
            "1e99 m",
            "22 kN",
            "8:12",
            "90 deg",
            "A1",
            "../x",
            "a\x00b",
            "\u202e",
            "us-construction",
        ]
    ),
    st.just([]),
    st.just({}),
    st.lists(st.sampled_from(["6 ft", "0 ft", 3, None, ["1 m", "2 m"]]), max_size=5),
    st.dictionaries(
        st.sampled_from(["name", "length", "x.y", "", "a b"]), st.sampled_from([1, "6 ft", [], {}]), max_size=3
    ),
)


def fields(value: object, path: str = "") -> Iterator[str]:
    """Paths of all fields of a mapping, tables and lists among them."""
    if path:
        yield path
    if isinstance(value, dict):
        for key, one in value.items():
            yield from fields(one, f"{path}.{segment(key)}" if path else segment(key))
    elif isinstance(value, list):
        for index, one in enumerate(value):
            yield from fields(one, f"{path}[{index}]")


FIELDS = sorted(fields(RAW))


def only_input_errors(raw: dict[str, object]) -> None:
    try:
        job_from_mapping(raw, path=Path("job.toml"))
    except InputErrors as errors:
        for error in errors.exceptions:
            assert isinstance(error, InputError)
            assert len(str(error)) < 2000


@given(st.binary(max_size=300))
@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_random_bytes_are_refused_with_an_input_error(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(data)
    with pytest.raises((InputError, InputErrors)):
        read_job(path)


@given(st.integers(0, len(TEXT) - 1), st.integers(0, 12), st.text(alphabet="[]{}=\"'\\,.#\n 09axé\x00", max_size=6))
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_cut_or_smeared_file_raises_nothing_else(tmp_path: Path, at: int, cut: int, put: str) -> None:
    path = tmp_path / "job.toml"
    path.write_text(TEXT[:at] + put + TEXT[at + cut :], encoding="utf-8")
    try:
        read_job(path)
    except (InputError, InputErrors) as error:
        assert "job.toml" in str(error)  # noqa: PT017 - the property is that nothing else is raised


@given(st.lists(st.tuples(st.sampled_from(FIELDS), VALUES), min_size=1, max_size=3))
@settings(max_examples=250, deadline=None)
def test_any_value_in_any_field_raises_nothing_else(changes: list[tuple[str, object]]) -> None:
    raw: dict[str, object] = copy.deepcopy(RAW)
    for field, value in changes:
        try:
            raw = changed(raw, field, value)
        except ValueError:  # an earlier change took the way away
            continue
    only_input_errors(raw)


PARTS = tomllib.loads((Path(__file__).parents[2] / "examples" / "wing-and-dormer.toml").read_text(encoding="utf-8"))
PART_FIELDS = sorted(path for path in fields(PARTS) if path.startswith("roof."))
LENGTHS = st.integers(-300, 1500).map(lambda centimetres: f"{centimetres} cm")


@given(st.lists(st.tuples(st.sampled_from(PART_FIELDS), st.one_of(VALUES, LENGTHS)), min_size=1, max_size=4))
@settings(max_examples=150, deadline=None)
def test_any_value_in_wings_dormers_and_courtyards_raises_nothing_else(changes: list[tuple[str, object]]) -> None:
    raw: dict[str, object] = copy.deepcopy(PARTS)
    for field, value in changes:
        try:
            raw = changed(raw, field, value)
        except ValueError:
            continue
    only_input_errors(raw)
