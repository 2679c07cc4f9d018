"""Every page of the desk asks the database as often in a large school as in a small one.

Beliefs wait for a worker meanwhile, which asks most.

After a change that is meant, write the new numbers by hand: each is a trip to the database.
"""

import json
from pathlib import Path

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from accounts.tokens import issue
from tests.factories import AT
from tests.pages.made import Size, build
from tests.pages.routes import routes

STATEMENTS = json.loads((Path(__file__).parent / "statements.json").read_text("utf-8"))
# As long a log as brings every page to all that it tells: a break, and enough to compare studios.
SMALL = Size(79, 60, 3, weeks=(0, 1, 2, 3, 13), tries=2)
LARGE = Size(200, 2_000, 30, weeks=(0, 1, 13), tries=2)


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=str)
def test_pages_ask_as_often_however_large_the_school_is(db, size):
    with time_machine.travel(AT, tick=False):
        made = build(size, name="Sandrow School of Dance", at=AT)
        client = APIClient()
        token = issue(made.head, member_id=made.head.member_id, at=AT)
        client.credentials(HTTP_AUTHORIZATION=f"Token {token}")
        counts = {}
        for name, path in routes(made).items():
            with CaptureQueriesContext(connection) as queries:
                answer = client.get(path)
            assert answer.status_code == 200, (name, answer.content)
            counts[name] = len(queries)
    assert counts == STATEMENTS
