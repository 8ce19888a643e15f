"""Strangers' files: whatever stands in them, either a roof comes out or an error that names the place."""

import copy
import json
import math
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ropewright.errors import FileError
from ropewright.readers import read_cityjson

DATA = Path(__file__).parents[1] / "data" / "roofs"
HOUSES = json.loads((DATA / "denhaag_4b.city.json").read_text(encoding="utf-8"))
LINES = (DATA / "denhaag_5b.city.jsonl").read_text(encoding="utf-8")

ODD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(2**70), 2**70),
    st.integers(-3, 120),
    st.floats(),
    st.text(max_size=4),
    st.sampled_from(["RoofSurface", "Solid", "MultiSurface", "1", "2", [], {}, [[]], [[[]]], [[[[]]]], [[0, 1, 2]]]),
)

shared = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])


def read(folder, content: bytes):
    path = folder / "fuzzed.city.json"
    path.write_bytes(content)
    try:
        buildings = read_cityjson(path)
    except FileError as error:
        told = str(error)
        buildings = ()
    else:
        told = str(path)
    assert told.startswith(str(path))
    for building in buildings:
        assert building.status in ("read", "mended", "refused")
        assert (building.roof is None) == (building.status == "refused")
        assert building.status == "read" or building.notes
        for edge in building.roof.edges if building.roof else ():
            assert math.isfinite(edge.length)
            assert edge.length > 0
    return buildings


def places(value, way=()):
    """Ways to all places in a JSON value, down to the numbers."""
    yield way
    for key in value if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ():
        yield from places(value[key], (*way, key))


PLACES = [way for way in places({key: HOUSES[key] for key in HOUSES if key != "appearance"}) if way]
#: Places outside the long lists of numbers, which would else be all that is hit.
STRUCTURE = [way for way in PLACES if "vertices" not in way and len(way) < 7]


CHANGE = st.tuples(st.one_of(st.sampled_from(STRUCTURE), st.sampled_from(PLACES)), ODD)
SHIFT = st.tuples(st.integers(0, 91), st.integers(0, 2), st.integers(-3000, 3000))


@given(changes=st.lists(CHANGE, min_size=1, max_size=3))
@shared
def test_a_changed_file_gives_roofs_or_a_named_fault(tmp_path, changes):
    document = copy.deepcopy(HOUSES)
    for way, value in changes:
        inner = document
        try:
            for key in way[:-1]:
                inner = inner[key]
            inner[way[-1]] = copy.deepcopy(value)
        except (TypeError, KeyError, IndexError):
            continue  # an earlier change took this place away
    read(tmp_path, json.dumps(document).encode())


@given(cut=st.integers(0, len(LINES)), at=st.integers(0, len(LINES)), junk=st.binary(max_size=8))
@shared
def test_a_cut_or_spoilt_file_gives_roofs_or_a_named_fault(tmp_path, cut, at, junk):
    whole = LINES.encode()
    read(tmp_path, whole[:at] + junk + whole[max(at, cut) :])


@given(content=st.binary(max_size=200))
@shared
def test_any_bytes_give_a_named_fault(tmp_path, content):
    assert read(tmp_path, content) == ()


@given(shifts=st.lists(SHIFT, min_size=1, max_size=5))
@shared
def test_moved_corners_give_roofs_or_refusals(tmp_path, shifts):
    document = copy.deepcopy(HOUSES)
    for corner, axis, by in shifts:
        document["vertices"][corner % len(document["vertices"])][axis] += by
    assert len(read(tmp_path, json.dumps(document).encode())) == 4


@pytest.mark.parametrize("scale", [1e-12, 1e-6, 1e3])
def test_a_wrong_scale_is_refused_or_read(tmp_path, scale):
    document = copy.deepcopy(HOUSES)
    document["transform"]["scale"] = [scale] * 3
    read(tmp_path, json.dumps(document).encode())
