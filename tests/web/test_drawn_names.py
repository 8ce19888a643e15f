"""Whatever is typed into a job stands in its drawings as text: they become part of a page as they are."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from ropewright.job import new_job_text
from ropewright.web.jobs.plan_pages import inline_drawing
from ropewright.web.jobs.tasks import plan

_EVIL = "</svg><script>alert(1)</script>"


def test_names_in_a_map_are_text_and_never_markup():
    text = new_job_text("metric")
    for name in ("New job", "porch roof", "chimney", "skylight", "Worker 1", "street line"):
        assert f'"{name}"' in text
        text = text.replace(f'"{name}"', f"'{name}{_EVIL}'")
    text = text.replace('"A1"', f"'A1{_EVIL}'").replace('"L1"', f"'L1{_EVIL}'")
    made = plan(lambda _doing, _share: None, text, {}, "metric")
    drawn = str(inline_drawing(made.map))
    assert "alert(1)" in drawn
    assert "<script" not in drawn
    root = ET.fromstring(drawn)
    assert {one.tag.rpartition("}")[2] for one in root.iter()}.isdisjoint({"script", "foreignObject", "a", "image"})
    assert not [name for one in root.iter() for name in one.attrib if name.lower().startswith("on")]
    for one in made.content["clearances"]:
        assert "<script" not in one["svg"]
