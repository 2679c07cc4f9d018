"""Requests made up from the contract, as each role, with real ids fed in.

No answer is a server error, every answer is one that the contract tells of, and what the contract
forbids is not taken. `FUZZ` says how many requests a role makes; the dice fall the same way every
time. Nothing is kept of any request, so that the last still meets what the first met.
"""

import json
import os
import traceback
from collections import Counter
from contextlib import contextmanager
from pathlib import Path

import pytest
import schemathesis
from django.core.signals import got_request_exception, request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections, transaction
from hypothesis import HealthCheck, Phase, given, settings
from jsonschema import Draft202012Validator
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.core.failures import FailureGroup
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from api.parsers import FileParser
from api.throttling import A_MINUTE
from tests.api.cast import MASSES
from tests.api.fuzz.pool import Pool

CASES = int(os.environ.get("FUZZ", "0"))
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
    response_headers_conformance,
]
MODES = (GenerationMode.POSITIVE, GenerationMode.NEGATIVE)
AT_MOST_A_MINUTE = 10_000_000
for kind in FileParser.READ:
    schemathesis.serializer.alias(kind, "application/octet-stream")
CONTRACT = json.loads((Path(__file__).parents[3] / "docs" / "openapi.json").read_text("utf-8"))


class Fuzz:
    """The requests of one role: what was answered, and every breach of the contract once."""

    def __init__(self, world, who):
        self.token = world.client(who)._credentials["HTTP_AUTHORIZATION"]
        self.service = get_wsgi_application()
        self.pool = Pool(world)
        self.answered = Counter()
        self.breaches = {}
        self.thrown = []

    def __call__(self, environ, start):
        """The service as this role sees it, whatever was made up of who asks."""
        # A compressed body is not unpacked in process.
        environ |= {"HTTP_AUTHORIZATION": self.token, "HTTP_ACCEPT_ENCODING": "identity"}
        return self.service(environ, start)

    def run(self, operation, mode, cases):
        @settings(
            max_examples=cases,
            deadline=None,
            database=None,
            derandomize=True,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy(generation_mode=mode))
        def ask(case):
            self.ask(operation, self.pool.aim(case))

        ask()

    def ask(self, operation, case):
        self.thrown.clear()
        with transaction.atomic():
            response = case.call()
            transaction.set_rollback(True)
        self.answered[operation.label, response.status_code] += 1
        try:
            case.validate_response(response, checks=CHECKS)
        except FailureGroup as found:
            for failure in found.exceptions:
                self.breach(operation, f"{failure.title}: {failure}", response, case)
        if response.status_code < 300 and (fault := forbidden(operation, case, response)):
            self.breach(operation, f"takes what the contract forbids: {fault}", response, case)

    def breach(self, operation, what, response, case):
        where = "".join(self.thrown)
        key = (operation.label, response.status_code, what[:120], where[-120:])
        self.breaches.setdefault(
            key,
            f"{operation.label} {response.status_code} {what}\n{case.as_curl_command()}\n{where}",
        )

    def noticed(self, **_):
        self.thrown.append(traceback.format_exc(limit=-4))


def forbidden(operation, case, response):
    """What was taken though the contract forbids it: a body, or a row answered by itself."""
    media = operation.definition.raw.get("requestBody", {}).get("content", {})
    if "application/json" not in media or not isinstance(case.body, dict):
        return None
    schema = media["application/json"]["schema"] | {"components": CONTRACT["components"]}
    answers = response.json().get("rows", []) if response.content else []
    by_row = answers and all("status" in row for row in answers)
    for fault in Draft202012Validator(schema).iter_errors(case.body):
        at = list(fault.absolute_path)
        if not (by_row and at[:1] == ["rows"] and answers[at[1]]["status"] == "refused"):
            return f"{fault.message[:200]} at {at}"
    return None


def weight(operation):
    """How much there is to make up: most in a body, least in an address alone."""
    said = operation.definition.raw
    if "application/json" in said.get("requestBody", {}).get("content", {}):
        return 4
    asked = [one for one in said.get("parameters", ()) if one["in"] == "query"]
    return 2 if asked or "requestBody" in said else 1


def can_be_wrong(operation):
    """Whether anything can be other than the contract says: any text is a header or a file."""
    said = operation.definition.raw
    places = {one["in"] for one in said.get("parameters", ())}
    read = said.get("requestBody", {}).get("content", {})
    return "application/json" in read or not places.isdisjoint({"path", "query"})


@contextmanager
def listening(receiver):
    """Tells the receiver of what is thrown; requests do not close the test's own transaction."""
    got_request_exception.connect(receiver)
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    try:
        yield
    finally:
        got_request_exception.disconnect(receiver)
        for signal in (request_started, request_finished):
            signal.connect(close_old_connections)


@pytest.mark.parametrize("who", ["head", "teacher", "assistant"])
def test_made_up_requests(world, monkeypatch, caplog, who):
    monkeypatch.setattr("api.throttling.A_MINUTE", dict.fromkeys(A_MINUTE, AT_MOST_A_MINUTE))
    fuzz = Fuzz(world, who)
    with listening(fuzz.noticed):
        schema = schemathesis.openapi.from_wsgi("/api/v1/openapi", fuzz)
        operations = [found.ok() for found in schema.get_all_operations()]
        unit = CASES / sum(map(weight, operations)) / len(MODES)
        for operation in operations:
            for mode in MODES if can_be_wrong(operation) else MODES[:1]:
                fuzz.run(operation, mode, max(2, round(unit * weight(operation))))
    report(who, fuzz.answered)
    assert not fuzz.breaches, "\n\n".join(fuzz.breaches.values())
    for word in (*(name for one in world.places.values() for name in one.names), *MASSES.values()):
        assert str(word) not in caplog.text


def report(who, answered):
    methods = Counter()
    for (label, status), times in answered.items():
        methods[label.split()[0], status] += times
    print(f"\n{who}: {methods.total()} requests")
    for method in sorted({method for method, _ in methods}):
        found = {status: n for (one, status), n in sorted(methods.items()) if one == method}
        print(f"  {method}: {found}")
    never = {label for label, _ in answered} - {label for label, s in answered if s < 300}
    print(f"  never a success: {', '.join(sorted(never)) or 'none'}")
