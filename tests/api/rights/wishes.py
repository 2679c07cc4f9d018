"""Wishes are for teachers alone."""

from tests.api.rights.table import Right


def a_wish(place):
    row = {"a": place.student2, "b": place.student3, "kind": "apart", "from": place.on}
    return {"rows": [row]}


def one(place):
    return {"wish": place.wish}


RIGHTS = [
    Right(
        "GET",
        "wishes",
        "200 200 200",
        "200 200 200",
        "403 403 403",
        query=lambda place: {"student": place.student},
    ),
    Right("POST", "wishes", "201 201 400", "201 400 400", "403 403 403", body=a_wish),
    Right(
        "PATCH",
        "wish",
        "204 204 404",
        "204 404 404",
        "403 403 403",
        url=one,
        body=lambda place: {"until": place.on},
    ),
    # It began a week ago: it can be ended, not taken back.
    Right("DELETE", "wish", "409 409 404", "409 404 404", "403 403 403", url=one),
]
