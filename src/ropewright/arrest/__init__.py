"""Falls and what stops them: one-dimensional catches in time, their spread, and the sum of allowances."""

from ropewright.arrest.book import (
    BookClearance,
    BookTerm,
    Datum,
    book_clearance,
    book_free_fall,
    book_rope_stretch,
)
from ropewright.arrest.catch import ENERGY_TOLERANCE, CatchError, Catches, catch
from ropewright.arrest.corners import CatchSpread, PartRanges, Spread, catch_corners
from ropewright.arrest.elastic import elastic_peak_force, modulus_from_peak_force
from ropewright.arrest.history import History, Phase, catch_history
from ropewright.arrest.parts import GRAVITY, Chain, effective_length
from ropewright.arrest.single import OneFall, one_fall

__all__ = [
    "ENERGY_TOLERANCE",
    "GRAVITY",
    "BookClearance",
    "BookTerm",
    "CatchError",
    "CatchSpread",
    "Catches",
    "Chain",
    "Datum",
    "History",
    "OneFall",
    "PartRanges",
    "Phase",
    "Spread",
    "book_clearance",
    "book_free_fall",
    "book_rope_stretch",
    "catch",
    "catch_corners",
    "catch_history",
    "effective_length",
    "elastic_peak_force",
    "modulus_from_peak_force",
    "one_fall",
]
