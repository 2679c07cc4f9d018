"""Agreements are a teacher's to enter and to read."""

from tests.api.rights.table import Right


def an_agreement(place):
    row = {"student": place.student, "kind": "lifting", "agreed_on": place.on}
    return {"rows": [row]}


RIGHTS = [
    Right("POST", "agreements", "201 201 400", "201 400 400", "403 403 403", body=an_agreement),
    Right(
        "PATCH",
        "agreement",
        "204 204 404",
        "204 404 404",
        "403 403 403",
        url=lambda place: {"agreement": place.agreement},
        body=lambda place: {"withdrawn_on": place.on},
    ),
    Right(
        "GET",
        "student-agreements",
        "200 200 404",
        "200 404 404",
        "403 403 403",
        url=lambda place: {"student": place.student},
    ),
]
