"""A yes is a teacher's; who sees the child sees it."""

from tests.api.rights.table import Right


def a_yes(place):
    row = {"student": place.student2, "skill": place.skill, "role": "base", "kind": "show"}
    return {"rows": [row | {"given_on": place.on, "lesson": place.lesson}]}


RIGHTS = [
    Right(
        "GET",
        "yeses",
        "200 200 200",
        "200 200 200",
        "200 200 200",
        query=lambda place: {"student": place.student, "lesson": place.lesson},
    ),
    Right("POST", "yeses", "201 201 400", "201 400 400", "403 403 403", body=a_yes),
    Right(
        "DELETE",
        "yes",
        "204 204 404",
        "204 404 404",
        "403 403 403",
        url=lambda place: {"yes": place.yes},
    ),
]
