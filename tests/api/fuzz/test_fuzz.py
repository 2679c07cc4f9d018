"""Requests made up from the contract, as each role, with real ids fed in.

No answer is a server error, and every answer is one that the contract tells of. `FUZZ` says how
many requests a role makes; the dice fall the same way every time.
"""

import os

import pytest
import schemathesis
from django.core.wsgi import get_wsgi_application
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from api.throttling import A_MINUTE
from tests.api.fuzz.pool import Pool

CASES = int(os.environ.get("FUZZ", "0"))
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
    response_headers_conformance,
]
AT_MOST_A_MINUTE = 10_000_000


@pytest.mark.parametrize("who", ["head", "teacher", "assistant", "stranger"])
def test_made_up_requests(world, monkeypatch, who):
    monkeypatch.setattr("api.throttling.A_MINUTE", dict.fromkeys(A_MINUTE, AT_MOST_A_MINUTE))
    token = world.client(who)._credentials["HTTP_AUTHORIZATION"]
    schema = schemathesis.openapi.from_wsgi(
        "/api/v1/openapi", get_wsgi_application(), headers={"Authorization": token}
    )
    operations = [found.ok() for found in schema.get_all_operations()]
    pool = Pool(world, seed=len(who))
    answered = {}
    for operation in operations:
        for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE):
            run(operation, mode, max(2, CASES // len(operations) // 2), pool, token, answered)
    print(f"\n{who}: {sum(answered.values())} requests, {dict(sorted(answered.items()))}")
    assert sum(answered.values()) >= CASES * 0.8
    assert {200, 400, 404} <= answered.keys()


def run(operation, mode, cases, pool, token, answered):
    try:
        strategy = operation.as_strategy(generation_mode=mode)
    except Exception as error:
        pytest.fail(f"{operation.label}: {error}")

    @settings(
        max_examples=cases,
        deadline=None,
        database=None,
        derandomize=True,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=strategy)
    def ask(case):
        case.path_parameters = pool.fill(dict(case.path_parameters or {}))
        case.query = pool.fill(dict(case.query or {}))
        if isinstance(case.body, dict):
            case.body = pool.fill(case.body)
        with transaction.atomic():
            response = case.call(headers={"Authorization": token})
            transaction.set_rollback(True)
        answered[response.status_code] = answered.get(response.status_code, 0) + 1
        case.validate_response(response, checks=CHECKS)

    ask()
