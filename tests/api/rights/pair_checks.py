"""A pair check is a teacher's; who sees both children sees it."""

from tests.api.rights.table import Right


def a_pair(place):
    row = {"base": place.student2, "flyer": place.student3, "given_on": place.on}
    return {"rows": [row | {"lesson": place.lesson}]}


RIGHTS = [
    Right(
        "GET",
        "pair-checks",
        "200 200 200",
        "200 200 200",
        "200 200 200",
        query=lambda place: {"student": place.student},
    ),
    Right("POST", "pair-checks", "201 201 400", "201 400 400", "403 403 403", body=a_pair),
    Right(
        "DELETE",
        "pair-check",
        "204 204 404",
        "204 404 404",
        "403 403 403",
        url=lambda place: {"pair_check": place.pair_check},
    ),
]
