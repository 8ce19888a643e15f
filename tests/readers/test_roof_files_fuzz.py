"""Strangers' files of every format: whatever stands in them, a roof comes out or an error that names the place."""

import json
import math
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ropewright.errors import FileError
from ropewright.readers import read_roofs

HOUSES = Path(__file__).parents[1] / "data" / "houses"
shared = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])

#: What is put in place of a piece of a file.
ODD = st.one_of(
    st.binary(max_size=6),
    st.sampled_from(
        [b"", b"-1", b"1e308", b"nan", b"inf", b"99999999999", b"#40", b"$", b"*", b"\n", b",", b"0", b'"']
    ),
)


def read(folder, ending, content: bytes):
    path = folder / f"fuzzed.{ending}"
    path.write_bytes(content)
    try:
        buildings = read_roofs(path)
    except FileError as error:
        told, buildings = str(error), ()
    else:
        told = str(path)
        assert buildings
    assert told.startswith(str(path))
    for building in buildings:
        assert building.status in ("read", "mended", "refused")
        assert (building.roof is None) == (building.status == "refused")
        assert building.status == "read" or building.notes
        for edge in building.roof.edges if building.roof else ():
            assert math.isfinite(edge.length)
            assert edge.length > 0


def spoilt(ending, changes):
    content = (HOUSES / f"house.{ending}").read_bytes()
    for share, cut, junk in changes:
        at = int(share * len(content))
        content = content[:at] + junk + content[at + cut :]
    return content


CHANGES = st.lists(st.tuples(st.floats(0.0, 1.0), st.integers(0, 12), ODD), min_size=1, max_size=4)


@pytest.mark.parametrize("ending", ["csv", "dxf", "geojson"])
@given(changes=CHANGES)
@shared
def test_a_spoilt_file_gives_roofs_or_a_named_fault(tmp_path, ending, changes):
    read(tmp_path, ending, spoilt(ending, changes))


@given(changes=CHANGES)
@settings(shared, max_examples=8)  # each starts a process
def test_a_spoilt_model_gives_roofs_or_a_named_fault(tmp_path, changes):
    read(tmp_path, "ifc", spoilt("ifc", changes))


@pytest.mark.parametrize("ending", ["csv", "dxf", "geojson", "json", "jsonl"])
@given(content=st.binary(max_size=120))
@settings(shared, max_examples=30)
def test_any_bytes_give_a_named_fault(tmp_path, ending, content):
    read(tmp_path, ending, content)


CORNER = st.tuples(*[st.one_of(st.integers(-3, 12), st.floats(-20, 20))] * 2)
LENGTH = st.one_of(st.sampled_from(["0.5 m", "2 ft", "9 m", "1 kg", "", None, 3, -1]), st.floats())
SIDE = st.fixed_dictionaries(
    {"number": st.one_of(st.integers(-1, 9), st.booleans(), st.none())},
    optional={
        "kind": st.sampled_from(["hip", "gable", "half-hip", "shed", "wall", "dome", 3, []]),
        "pitch_deg": st.one_of(st.floats(-5, 95), st.none()),
        "hip_from": LENGTH,
        "hip_from_m": st.floats(0, 3),
        "upper_pitch_deg": st.one_of(st.floats(-5, 95), st.integers(5, 80)),
        "break_from_m": st.one_of(st.floats(), st.floats(0, 3)),
        "overhang": LENGTH,
        "overhang_m": st.one_of(st.floats(), st.floats(0, 1)),
        "odd": st.none(),
    },
)
WING = st.fixed_dictionaries(
    {
        "name": st.sampled_from(["a", "b", "", 3]),
        "outline": st.lists(st.lists(st.integers(-3, 12), max_size=3), max_size=6),
    },
    optional={"pitch_deg": st.integers(0, 90), "eave_height_m": st.floats(0, 9), "side": st.lists(SIDE, max_size=2)},
)
DORMER = st.fixed_dictionaries(
    {"name": st.sampled_from(["a", "c", None]), "width": LENGTH, "front_height": LENGTH},
    optional={
        "at": st.lists(st.one_of(st.integers(-3, 12), st.floats()), max_size=3),
        "side": st.integers(-1, 5),
        "along": LENGTH,
        "setback": LENGTH,
        "kind": st.sampled_from(["gable", "hip", "shed", "flat", "dome"]),
        "pitch_deg": st.integers(0, 90),
    },
)
PROPERTIES = st.fixed_dictionaries(
    {},
    optional={
        "side": st.one_of(st.lists(SIDE, max_size=4), st.just(3)),
        "courtyard": st.lists(st.fixed_dictionaries({}, optional={"kind": st.sampled_from(["wall", 3])}), max_size=2),
        "wing": st.one_of(st.lists(WING, max_size=2), st.just([3])),
        "dormer": st.one_of(st.lists(DORMER, max_size=2), st.just("a")),
        "form": st.sampled_from(["flat", "shed", "gable", "hip", "dome", 3]),
        "pitch_deg": st.one_of(st.floats(-5, 95), st.integers(0, 90), st.booleans()),
        "pitch": st.sampled_from(["8:12", "35 deg", "1 kg", 30]),
        "gable_sides": st.lists(st.integers(-1, 7), max_size=3),
        "high_side": st.integers(-1, 7),
        "overhang": st.sampled_from(["0.5 m", "9 m", -1]),
        "eave_height_m": st.one_of(st.floats(), st.integers(-2, 9)),
    },
)


@given(ring=st.lists(CORNER, max_size=9), hole=st.lists(CORNER, max_size=5), properties=PROPERTIES)
@settings(shared, max_examples=120)
def test_any_footprint_gives_a_roof_or_a_refusal(tmp_path, ring, hole, properties):
    rings = [[list(corner) for corner in one] for one in (ring, hole) if one]
    geometry = {"type": "Polygon", "coordinates": rings}
    feature = {"type": "Feature", "properties": {"pitch_deg": 30, **properties}, "geometry": geometry}
    document = {"type": "FeatureCollection", "coordinates_unit": "m", "features": [feature]}
    read(tmp_path, "geojson", json.dumps(document).replace("NaN", "1e999").encode())


HOUSE = {"type": "Polygon", "coordinates": [[[0, 0], [9, 0], [9, 6], [0, 6], [0, 0]]]}


@given(properties=PROPERTIES)
@settings(shared, max_examples=120)
def test_whatever_is_told_of_a_house_gives_a_roof_or_a_refusal(tmp_path, properties):
    feature = {"type": "Feature", "properties": {"pitch_deg": 30, **properties}, "geometry": HOUSE}
    document = {"type": "FeatureCollection", "coordinates_unit": "m", "features": [feature]}
    read(tmp_path, "geojson", json.dumps(document).replace("NaN", "1e999").encode())
