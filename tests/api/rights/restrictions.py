"""Restrictions are a teacher's to enter and to read."""

from tests.api.rights.table import Right


def a_restriction(place):
    row = {"student": place.student, "blocks": "neck", "from": place.on}
    return {"rows": [row | {"until": "2026-04-01"}]}


def one(place):
    return {"restriction": place.restriction}


RIGHTS = [
    Right("POST", "restrictions", "201 201 400", "201 400 400", "403 403 403", body=a_restriction),
    Right(
        "PATCH",
        "restriction",
        "204 204 404",
        "204 404 404",
        "403 403 403",
        url=one,
        body=lambda place: {"until": place.on},
    ),
    # It began a week ago: it can be ended, not taken back.
    Right("DELETE", "restriction", "409 409 404", "409 404 404", "403 403 403", url=one),
    Right(
        "GET",
        "student-restrictions",
        "200 200 404",
        "200 404 404",
        "403 403 403",
        url=lambda place: {"student": place.student2},
    ),
]
