from datetime import timedelta
from uuid import UUID

import pytest

from accounts.events import record
from accounts.models import Event
from api.pages import cursor_of
from tests.api.cast import NOW

EVENTS = "/api/v1/events"


@pytest.fixture
def told(world):
    """Seven events of two members about two children, two at each moment but the last."""
    Event.objects.all().delete()
    for number in range(7):
        record(
            world.scope("head" if number % 2 else "teacher"),
            what="give_yes" if number < 4 else "change_student",
            at=NOW + timedelta(minutes=number // 2),
            about=UUID(world.own.student if number % 3 else world.sister.student),
            number=number,
        )
    record(world.scope("stranger"), what="give_yes", at=NOW)


def numbers(client, **query):
    answer = client.get(EVENTS, query)
    assert answer.status_code == 200, answer.content
    return [row["details"]["number"] for row in answer.json()["rows"]]


def test_the_newest_first(world, as_head, told):
    rows = as_head.get(EVENTS).json()["rows"]
    assert [row["details"]["number"] for row in rows] == [6, 5, 4, 3, 2, 1, 0]
    assert rows[1] == {
        "id": rows[1]["id"],
        "at": "2026-03-10T17:07:00Z",
        "member": str(world.members["head"].id),
        "what": "change_student",
        "about": world.own.student,
        "details": {"number": 5},
    }


def test_filters(world, as_head, told):
    assert numbers(as_head, what="give_yes") == [3, 2, 1, 0]
    assert numbers(as_head, member=str(world.members["teacher"].id)) == [6, 4, 2, 0]
    assert numbers(as_head, about=world.sister.student, what="give_yes") == [3, 0]
    assert numbers(as_head, about=world.foreign.student) == []
    assert numbers(as_head, member=str(world.members["stranger"].id)) == []


@pytest.mark.parametrize("limit", [1, 2, 3, 6, 7, 8])
def test_page_after_page_tells_each_once(world, as_head, told, limit):
    found, query = [], {"limit": limit}
    while True:
        page = as_head.get(EVENTS, query).json()
        assert len(page["rows"]) <= limit
        found += [row["details"]["number"] for row in page["rows"]]
        if page["next"] is None:
            break
        query["cursor"] = page["next"]
        # What happens meanwhile is not in the pages that follow.
        record(world.scope("head"), what="give_yes", at=NOW + timedelta(hours=1), number=99)
    assert found == [6, 5, 4, 3, 2, 1, 0]


@pytest.mark.parametrize(
    "cursor",
    [
        "x",
        "=",
        cursor_of((1, 2)),
        cursor_of(("a", "b")),
        cursor_of(("2026-03-10T17:00:00", "00000000-0000-4000-8000-000000000000")),
        cursor_of(("2026-03-10T17:00:00+00:00", "b")),
        cursor_of(("2026-03-10T17:00:00+00:00",)),
        cursor_of(({}, [])),
    ],
)
def test_a_cursor_that_was_never_handed_out(world, as_head, cursor):
    assert as_head.get(EVENTS, {"cursor": cursor}).status_code == 404


@pytest.mark.parametrize(
    "query",
    [
        {"what": "Yes!"},
        {"about": "x"},
        {"member": "7"},
        {"limit": "0"},
        {"limit": "501"},
        {"who": "x"},
    ],
)
def test_what_may_not_be_asked(world, as_head, query):
    answer = as_head.get(EVENTS, query)
    assert answer.status_code == 400
    assert [error["parameter"] for error in answer.json()["errors"]] == list(query)


def test_nobody_changes_it(world, as_head):
    for method in ("post", "put", "patch", "delete"):
        assert getattr(as_head, method)(EVENTS).status_code == 405
