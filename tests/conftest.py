"""What tests of several folders share."""

from __future__ import annotations

import pytest


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
