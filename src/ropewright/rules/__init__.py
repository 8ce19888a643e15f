"""Limits with their clauses, and facts put to them."""

from ropewright.rules.check import check
from ropewright.rules.compare import Comparison, compare
from ropewright.rules.facts import FACTS, Fact, find_fact, read_fact, read_facts
from ropewright.rules.limits import Judgement, Kind, Limit, Standing
from ropewright.rules.load import load_pack, pack_names
from ropewright.rules.pack import Allowance, Conflict, Definition, Pack

__all__ = [
    "FACTS",
    "Allowance",
    "Comparison",
    "Conflict",
    "Definition",
    "Fact",
    "Judgement",
    "Kind",
    "Limit",
    "Pack",
    "Standing",
    "check",
    "compare",
    "find_fact",
    "load_pack",
    "pack_names",
    "read_fact",
    "read_facts",
]
