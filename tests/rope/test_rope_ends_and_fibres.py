"""Terminations, knot observations and fibre properties as tables of facts."""

import pytest

from ropewright.findings import SourceStatus
from ropewright.rope import (
    EndKind,
    EndUse,
    Family,
    fibre_facts,
    fibre_names,
    fibre_properties,
    fibres,
    knot_observations,
    terminations,
    weathering,
)


def test_an_unknown_end_counts_no_better_than_any_knot_for_normal_use():
    unknown = terminations()["unknown"].retention.value
    for end in terminations().values():
        if end.use is EndUse.NORMAL:
            assert unknown.low <= end.retention.value.low
            assert unknown.likely <= end.retention.value.likely


def test_hitches_are_for_emergencies_or_never():
    uses = {end.name: end.use for end in terminations().values() if end.kind is EndKind.HITCH}
    assert uses == {"one-and-one hitch": EndUse.NEVER, "sliding hitch": EndUse.EMERGENCY_ONLY}


def test_what_the_rules_say_of_knots_counts_for_knots_hitches_and_unknown_ends():
    counted = {kind for kind in EndKind if kind.may_be_knot}
    assert counted == {EndKind.KNOT, EndKind.HITCH, EndKind.UNKNOWN}


def test_design_figure_of_a_knot_is_never_above_its_best_observation():
    for knot, observations in knot_observations().items():
        if knot in terminations():
            assert terminations()[knot].retention.value.likely <= max(o.value.high for o in observations)


def test_only_the_double_overhand_has_a_count_of_breaks():
    counted = {o.key for found in knot_observations().values() for o in found if o.samples is not None}
    assert counted == {"double overhand loop/symmetry_2024"}


def test_observations_of_one_knot_stay_apart():
    assert len(knot_observations()["bowline"]) == 4


def test_natural_fibres_are_known_as_such():
    natural = {fibre.name for fibre in fibres().values() if fibre.is_natural}
    assert natural == {"cotton", "hemp", "manila", "natural fibre", "sisal"}


def test_polypropylene_may_hide_in_every_polyolefin_but_polyethylene():
    hidden = {fibre.name for fibre in fibres().values() if fibre.has_polyolefin}
    assert hidden == {"polyester-polyolefin", "polyolefin", "polypropylene"}
    assert fibres()["polyethylene"].family is Family.POLYOLEFIN


def test_polypropylene_softens_before_it_melts_and_melts_before_nylon():
    polypropylene, nylon = fibre_properties()["polypropylene"], fibre_properties()["nylon"]
    assert polypropylene["softening"].value.high < polypropylene["melting"].value.low
    assert polypropylene["melting"].value.high < nylon["melting"].value.low


def test_properties_belong_to_known_fibres():
    assert set(fibre_properties()) - {"any fibre"} <= set(fibre_names())
    assert set(fibre_facts()) <= set(fibre_names())


def test_only_what_may_be_nylon_is_weaker_wet():
    weaker = {
        name
        for name, found in fibre_properties().items()
        if found.get("wet factor") and found["wet factor"].value.low < 1
    }
    assert weaker == {"nylon", "nylon core with polyester sheath", "unknown"}


def test_statements_carry_how_they_are_known():
    assert fibre_facts()["nylon"]["acids"].source.status is SourceStatus.MEMORY
    assert fibre_facts()["manila"]["ban"].source.document == "29 CFR 1926.502"


def test_nylon_webbing_loss_per_year_comes_from_its_loss_in_three_years():
    """50 % to 60 % lost in 36 months: 1 - 0.5^(1/3) and 1 - 0.4^(1/3)."""
    yearly = weathering()["nylon webbing/yearly loss"].value
    assert yearly.low == pytest.approx(1 - 0.5 ** (1 / 3), abs=5e-4)
    assert yearly.high == pytest.approx(1 - 0.4 ** (1 / 3), abs=5e-4)
