"""The rules in a browser."""

from __future__ import annotations

import pytest

pytestmark = pytest.mark.browser


def test_list_of_packs_can_be_used_by_everyone(looked_at):
    looked_at("rules", "/rules")


def test_packs_side_by_side_can_be_used_by_everyone(looked_at):
    looked_at("rules-compare", "/rules/compare?pack=us-construction&pack=eu-uk&search=anchor")


def test_one_pack_can_be_used_by_everyone(looked_at):
    looked_at("rules-pack", "/rules/us-construction?search=anchor")
