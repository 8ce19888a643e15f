"""The plan of a roof with a wing, a dormer, a shaft and a skylight: what is lettered and what is drawn."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from ropewright.job import read_job
from ropewright.roof import Edge, EdgeType, Facet, Roof
from ropewright.sheets.roof_plan import roof_plan_svg

EXAMPLE = Path(__file__).parents[2] / "examples" / "wing-and-dormer.toml"


@pytest.fixture(scope="module")
def plan() -> str:
    return roof_plan_svg(read_job(EXAMPLE).roof, title="a house")


def lettered(svg: str, words: str) -> bool:
    return any(words in " ".join(part.split()) for part in svg.split("<text")[1:])


def test_edges_with_room_outside_them_are_named_with_their_lengths(plan: str) -> None:
    for words in ("south eave 13.60 m", "kitchen wing west eave 6.40 m", "main ridge 12.58 m"):
        assert lettered(plan, words), words


def test_names_longer_than_an_edge_with_roof_round_it_are_left_off(plan: str) -> None:
    for words in ("courtyard", "landing skylight rim", "bath dormer"):
        assert not lettered(plan, words), words


def test_every_edge_is_drawn_and_can_be_told(plan: str) -> None:
    for edge in read_job(EXAMPLE).roof.edges:
        assert f"<title>{edge.name}</title>" in plan


def test_walls_of_house_and_wing_are_one_hidden_line_and_the_shaft_another(plan: str) -> None:
    assert plan.count('stroke-dasharray="1.4 0.9"') == 2


def test_a_roof_whose_edges_do_not_close_is_drawn_all_the_same() -> None:
    corners = np.array([[0.0, 0, 3], [8, 0, 3], [8, 6, 3], [0, 6, 3]])
    eave = Edge("south eave", EdgeType.EAVE, corners[0], corners[1], ("flat",))
    assert lettered(roof_plan_svg(Roof((Facet("flat", corners),), (eave,)), title="a part"), "south eave")
