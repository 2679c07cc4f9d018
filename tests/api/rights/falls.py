"""Falls are handed in and read by all of the studio; a teacher looks at them."""

from tests.api.rights.table import Right


def fell(place):
    row = {
        "id": "0f0e0d0c-0000-4000-8000-000000000002",
        "student": place.student,
        "skill_id": place.skill_id,
        "role": "base",
        "kind": "near_miss",
        "phase": "way_in",
        "class": place.klass,
        "on": place.on,
    }
    return {"rows": [row]}


RIGHTS = [
    Right("POST", "falls-batch", "200 200 200", "200 200 200", "200 200 200", body=fell),
    Right("GET", "falls", "200 200 200", "200 200 200", "200 200 200"),
    Right(
        "GET",
        "student-falls",
        "200 200 404",
        "200 404 404",
        "200 404 404",
        url=lambda place: {"student": place.student},
    ),
    Right(
        "POST",
        "fall-look",
        "200 200 404",
        "200 404 404",
        "403 404 404",
        url=lambda place: {"fall": place.fall},
    ),
]
