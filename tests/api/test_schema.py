"""The schema tells the truth about the API, and nothing that fits or breaks it makes the API fail."""

from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from hypothesis import HealthCheck, settings

from nursery.wsgi import application
from tests.api.phone import Phone

schema = schemathesis.openapi.from_wsgi("/api/schema", application)
# Ours beside the usual ones: too much at once, and an app too old.
schema.config.checks.negative_data_rejection.expected_statuses += ["413", "426"]


@pytest.fixture
def token(db: None) -> Iterator[str]:
    """The token of a paired phone.

    After it is paired, whole WSGI requests keep the test's connection, as those of Django's own client do.
    """
    paired = Phone("owner").client.cookies["misho_phone"].value
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield paired
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@schema.parametrize()
@settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_whatever_is_sent_the_answer_is_as_described(case: Any, token: str) -> None:
    """Seeded requests, right ones and wrong ones, from a paired phone."""
    case.call_and_validate(headers={"Cookie": f"misho_phone={token}"})


def test_every_address_tells_its_errors_in_the_one_shape(client: Any, db: None) -> None:
    response = client.get("/api/schema")
    assert response["Content-Type"] == "application/json"
    assert response["Cache-Control"] == "no-store"
    told = response.json()
    refusals = {
        (path, method): sorted(status for status in operation["responses"] if status != "200")
        for path, operations in told["paths"].items()
        for method, operation in operations.items()
    }
    assert refusals == {
        ("/api/devices/pair", "post"): ["400", "403", "413", "415", "426", "429", "503"],
        ("/api/photos/{id}", "get"): ["401", "404", "426", "503"],
        ("/api/photos/{id}", "put"): [
            "400", "401", "403", "404", "409", "413", "415", "426", "429", "503",
        ],
        ("/api/sync/push", "post"): ["400", "401", "403", "413", "415", "426", "503"],
        ("/api/sync/pull", "get"): ["400", "401", "409", "426", "503"],
        ("/api/sync/lacking", "post"): ["400", "401", "403", "413", "415", "426", "503"],
    }  # fmt: skip
    shape = {"$ref": "#/components/schemas/ErrorAnswer"}
    for operations in told["paths"].values():
        for operation in operations.values():
            for status, answer in operation["responses"].items():
                if status != "200":
                    assert answer["content"]["application/json"]["schema"] == shape


def test_the_schema_as_yaml_for_those_who_ask(client: Any, db: None) -> None:
    response = client.get("/api/schema", headers={"Accept": "application/vnd.oai.openapi"})
    assert response.content.startswith(b"openapi: 3")
