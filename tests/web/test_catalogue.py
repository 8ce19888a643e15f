"""Every text has its Spanish, with the same places for names and numbers."""

from __future__ import annotations

import re

from ropewright.findings import Verdict
from ropewright.sheets.ink import CAUTION
from ropewright.sheets.words import ANSWERS
from ropewright.web.catalogue_source import messages_used
from ropewright.web.words import catalogue, translations

_PLACE = re.compile(r"%\((\w+)\)[sd]")


def _texts(message):
    return message if isinstance(message, tuple) else (message,)


def test_every_text_of_the_pages_has_its_spanish():
    spanish = {one.id: one.string for one in catalogue("es") if one.id}
    missing = [one for one in messages_used() if not all(_texts(spanish.get(one, "")))]
    assert missing == []


def test_places_for_names_and_numbers_agree():
    for message in catalogue("es"):
        if not message.id:
            continue
        wanted = {name for text in _texts(message.id) for name in _PLACE.findall(text)}
        for text in _texts(message.string):
            assert set(_PLACE.findall(text)) <= wanted, message.id
        assert {name for text in _texts(message.string) for name in _PLACE.findall(text)} == wanted, message.id


def test_texts_are_found_in_templates_and_modules():
    used = messages_used()
    assert "Skip to the content" in used
    assert "This form is out of date" in used


def test_verdicts_answers_and_caution_of_the_engine_have_their_spanish():
    spanish = translations("es")
    for text in (CAUTION, *ANSWERS.values(), *(verdict.value for verdict in Verdict)):
        assert spanish.gettext(text) != text
