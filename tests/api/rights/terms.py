"""Terms are the whole school's; a head teacher sets them."""

from tests.api.rights.table import Right


def one(place):
    return {"term": place.term}


RIGHTS = [
    Right("GET", "terms", "200 200 200", "200 200 200", "200 200 200"),
    Right(
        "POST",
        "terms",
        "201 201 201",
        "403 403 403",
        "403 403 403",
        body=lambda place: {"name": "Summer", "first": "2026-05-04", "last": "2026-07-10"},
    ),
    Right("GET", "term", "200 200 404", "200 200 404", "200 200 404", url=one),
    Right(
        "PATCH",
        "term",
        "200 200 404",
        "403 403 404",
        "403 403 404",
        url=one,
        body=lambda place: {"last": "2026-04-02"},
    ),
    Right("DELETE", "term", "204 204 404", "403 403 404", "403 403 404", url=one),
]
