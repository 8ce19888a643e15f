import contextlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright import rope
from ropewright.errors import InputError
from ropewright.rope import fibre, termination, vocabulary
from ropewright.rope.tables import figures

LOOKUPS = [
    (vocabulary.FIBRES, rope.canonical_fibre, rope.fibre_names),
    (vocabulary.CONSTRUCTIONS, rope.canonical_construction, rope.construction_names),
    (vocabulary.STRETCHES, rope.canonical_stretch, rope.stretch_names),
    (vocabulary.TERMINATIONS, rope.canonical_termination, rope.termination_names),
    (vocabulary.BASES, rope.canonical_basis, rope.basis_names),
    (vocabulary.SURFACES, rope.canonical_surface, rope.surface_names),
]
LOOKUP_IDS = ["fibre", "construction", "stretch", "termination", "basis", "surface"]


@pytest.mark.parametrize(("aliases", "canonical", "names"), LOOKUPS, ids=LOOKUP_IDS)
def test_every_name_and_alias_leads_to_its_canonical_name(aliases, canonical, names):
    assert names() == tuple(aliases)
    for name, more in aliases.items():
        for alias in (name, *more):
            assert canonical(alias, "field") == name
            assert canonical(f"  {alias.upper()} ", "field") == name


@pytest.mark.parametrize(("aliases", "canonical", "names"), LOOKUPS, ids=LOOKUP_IDS)
def test_names_are_sorted_and_aliases_never_shared(aliases, canonical, names):
    every = [alias.casefold() for name, more in aliases.items() for alias in (name, *more)]
    assert len(set(every)) == len(every)
    assert list(aliases) == sorted(aliases)


@pytest.mark.parametrize(
    ("canonical", "text", "expected"),
    [
        (rope.canonical_construction, "kernmantle", "sheathed core"),
        (rope.canonical_construction, "3-strand", "laid"),
        (rope.canonical_construction, "three-strand", "laid"),
        (rope.canonical_fibre, "PES", "polyester"),
        (rope.canonical_fibre, "HMPE", "high-modulus polyethylene"),
        (rope.canonical_stretch, "semi static", "low-stretch"),
        (rope.canonical_termination, "Figure-8 follow through", "figure-eight loop"),
        (rope.canonical_termination, "prusik", "sliding hitch"),
        (rope.canonical_termination, "double fisherman\u2019s", "double fisherman's bend"),
    ],
)
def test_plain_words_are_understood(canonical, text, expected):
    assert canonical(text, "field") == expected


def test_an_unknown_name_names_field_and_value_and_offers_the_nearest():
    with pytest.raises(InputError, match=r"line\[1\]\.rope\.fibre: got 'nylom'; did you mean 'nylon'"):
        rope.canonical_fibre("nylom", "line[1].rope.fibre")


def test_a_name_like_no_other_is_answered_with_all_of_them():
    with pytest.raises(
        InputError, match=r"'spaghetti'; give one of the constructions known: 'braided', .* or 'unknown'"
    ):
        rope.canonical_construction("spaghetti", "rope.construction")


@pytest.mark.parametrize("value", [None, 3, ["nylon"], ""])
def test_what_is_no_name_is_refused(value):
    with pytest.raises(InputError, match=r"rope\.fibre"):
        rope.canonical_fibre(value, "rope.fibre")


@settings(deadline=None, max_examples=50)
@given(st.text(max_size=30))
def test_any_text_is_known_or_refused_as_input(text):
    with contextlib.suppress(InputError):
        assert rope.canonical_termination(text, "termination") in rope.termination_names()


@pytest.mark.parametrize(
    ("text", "state", "wet", "assumed"),
    [
        ("new", "new", None, False),
        ("New, dry", "new", False, False),
        ("wet and good", "good", True, False),
        ("wet", "good", True, True),
        ("dry", "good", False, True),
        ("used", "good", None, False),
        ("fallen on", "fallen-on", None, False),
        ("unknown", "unknown", None, False),
        ("melted", "damaged", None, False),
    ],
)
def test_condition_is_read_with_what_is_told_of_water(text, state, wet, assumed):
    assert rope.read_condition(text, "condition") == rope.Condition(state, wet, assumed)


@pytest.mark.parametrize("text", ["wet dry", "excellent", "wet excellent", None])
def test_a_condition_that_says_nothing_is_refused(text):
    with pytest.raises(InputError, match=r"rope\.condition"):
        rope.read_condition(text, "rope.condition")


def test_tables_and_names_hold_the_same_things():
    assert set(fibre.fibres()) == set(rope.fibre_names())
    assert set(termination.terminations()) == set(rope.termination_names())
    strength = figures("strength_figures")
    assert {key.split("/")[1] for key in strength if key.startswith("condition/")} == set(rope.condition_names())
    assert {key.split("/")[1] for key in strength if key.startswith("basis/")} == set(rope.basis_names())
    assert set(figures("friction")) | {"unknown"} == set(rope.surface_names()) | {"wet factor"}
