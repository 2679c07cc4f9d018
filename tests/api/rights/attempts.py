"""Tries are handed in and read by all of the studio; a batch is answered row by row."""

from tests.api.rights.table import Right

ROW = {
    "id": "0a0b0c0d-0000-4000-8000-000000000001",
    "attempt": "0a0b0c0d-0000-4000-8000-000000000002",
    "revision": 1,
    "role": "base",
    "spot": "hands_on",
    "outcome": "clean",
    "weight": "own",
    "try_id": "0a0b0c0d-0000-4000-8000-000000000003",
    "happened_at": "2026-03-10T17:04:00Z",
    "clock_offset_ms": 0,
}


def tried(place):
    about = {"student": place.student, "skill_id": place.skill_id, "class": place.klass}
    return ROW | about | {"local_date": place.on}


RIGHTS = [
    Right(
        "POST",
        "attempts-batch",
        "200 200 200",
        "200 200 200",
        "200 200 200",
        body=lambda place: {"rows": [tried(place)]},
    ),
    Right("GET", "attempts-late", "200 200 200", "403 403 403", "403 403 403"),
    Right(
        "GET",
        "attempt",
        "200 200 404",
        "200 404 404",
        "200 404 404",
        url=lambda place: {"attempt": place.attempt},
    ),
    Right(
        "GET",
        "student-tries",
        "200 200 404",
        "200 404 404",
        "200 404 404",
        url=lambda place: {"student": place.student},
        query=lambda place: {"skill": place.skill},
    ),
    Right(
        "GET",
        "lesson-tries",
        "200 200 404",
        "200 404 404",
        "200 404 404",
        url=lambda place: {"lesson": place.lesson},
    ),
]
