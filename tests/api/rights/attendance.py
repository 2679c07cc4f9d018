"""Who is here is entered and read by all of the studio; a batch is answered row by row."""

from tests.api.rights.table import Right


def here(place):
    row = {
        "id": "0f0e0d0c-0000-4000-8000-000000000001",
        "revision": 2,
        "student": place.student,
        "class": place.klass,
        "on": place.on,
        "state": "here",
    }
    return {"rows": [row]}


RIGHTS = [
    Right("POST", "attendance-batch", "200 200 200", "200 200 200", "200 200 200", body=here),
    Right(
        "GET",
        "lesson-attendance",
        "200 200 404",
        "200 404 404",
        "200 404 404",
        url=lambda place: {"lesson": place.lesson},
    ),
]
