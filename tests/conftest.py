"""What tests of several folders share."""

from __future__ import annotations

import pytest
from hypothesis import settings

#: No example of a property fails by the clock: the machine that runs them may be busy with other things.
settings.register_profile("ropewright", deadline=None)
settings.load_profile("ropewright")


@pytest.fixture(scope="session")
def contract() -> frozenset[str]:
    """Keys that every finding has in a document, whoever writes it."""
    return frozenset(
        (
            "id",
            "question",
            "verdict",
            "value",
            "limit",
            "margin",
            "unit",
            "where",
            "formula",
            "inputs",
            "source",
            "remedy",
        )
    )
