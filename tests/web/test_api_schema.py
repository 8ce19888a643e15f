"""The JSON interface against its own description: a bounded number of made-up requests for each operation, in process.

`tools/fuzz_interface.py` asks more, of a server that runs.
"""

from __future__ import annotations

import warnings

import pytest
from filled_store import EXAMPLE, fill_jobs
from hypothesis import HealthCheck, Phase, given, settings

from ropewright.web.app import create_app
from ropewright.web.settings import Settings

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # of its own parts, as they are loaded
    import schemathesis
    from schemathesis.checks import not_a_server_error
    from schemathesis.specs.openapi.checks import (
        content_type_conformance,
        response_schema_conformance,
        status_code_conformance,
    )

HOST = "127.0.0.1:8010"
CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
OPERATIONS = [
    (path, method)
    for path, methods in create_app(Settings(place="", port=8010)).openapi()["paths"].items()  # nothing is opened
    for method in methods
]


@pytest.fixture(scope="module")
def asked(client_kind, tmp_path_factory):
    """Somebody who is let in to a store with a job in it, which may be changed."""
    settings = Settings(place=str(tmp_path_factory.mktemp("asked") / "record.db"), port=8010)
    with client_kind(create_app(settings), base_url=f"http://{HOST}", follow_redirects=False) as client:
        client.get(settings.link)
        client.send("/settings", {"person": "A. Roofer"})
        fill_jobs(client, EXAMPLE, units=("metric",))
        yield client


@pytest.fixture(scope="module")
def described(asked):
    return schemathesis.openapi.from_asgi("/openapi.json", asked.app, headers={"host": HOST})


def test_interface_has_its_operations():
    assert len(OPERATIONS) >= 19


@pytest.mark.parametrize(("path", "method"), OPERATIONS, ids=lambda one: one)
def test_whatever_is_asked_the_answer_is_as_described(described, asked, idle, path, method):
    cookies = dict(asked.cookies.items())
    headers = {"x-csrf-token": asked.token(), "host": HOST}

    @settings(
        max_examples=12,
        derandomize=True,
        deadline=None,
        database=None,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=described[path][method].as_strategy())
    def ask(case):
        answer = case.call(cookies=cookies, headers=headers)
        assert answer.status_code not in (401, 403, 421)  # refused at the door, it would tell nothing
        case.validate_response(answer, checks=CHECKS)

    ask()
