"""The quick way to an entry's canonical JSON gives what the library gives, and one text means one entry."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.store.canonical import GENESIS, entry_hash, entry_text, json_text
from ropewright.store.chain import START, followed
from ropewright.store.entry import Head

TEXT = st.text(st.characters(exclude_categories=("Cs",)), max_size=8)
VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | TEXT,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3),
    max_leaves=4,
)
BODIES = st.dictionaries(TEXT, VALUES, max_size=3)
CELLS = st.tuples(st.just(1), TEXT, TEXT, TEXT, TEXT, TEXT, BODIES.map(json_text), st.just(GENESIS))


@settings(max_examples=40, deadline=None)
@given(CELLS, BODIES)
def test_the_quick_way_is_the_library_s_text(cells, body) -> None:
    names = ("number", "at", "written", "kind", "subject", "by", "body", "previous")
    cells = (*cells[:6], json_text(body), cells[7])
    assert entry_text(*cells) == json_text(dict(zip(names, cells, strict=True)) | {"body": body})


@settings(max_examples=40, deadline=None)
@given(CELLS)
def test_the_loop_over_a_million_entries_hashes_the_same_text(cells) -> None:
    digest = entry_hash(entry_text(*cells))
    assert followed([(*cells, digest)]) == (Head(1, digest), None)
    assert followed([(*cells, digest[::-1])]) == (START, (*cells, digest[::-1]))


def test_a_value_that_looks_like_the_next_key_stays_a_value() -> None:
    plain = (1, "2030", "2030", "gear.cut", "gear/R-1", 'Ann","kind":"gear.washed', "{}", GENESIS)
    assert '"by":"Ann\\",\\"kind\\":\\"gear.washed","kind":"gear.cut"' in entry_text(*plain)
