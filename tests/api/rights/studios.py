"""Studios are seen by those who work there; a head teacher adds and changes them."""

from tests.api.rights.table import Right


def one(place):
    return {"studio": place.studio}


RIGHTS = [
    Right("GET", "studios", "200 200 200", "200 200 200", "200 200 200"),
    Right(
        "POST",
        "studios",
        "201 201 201",
        "403 403 403",
        "403 403 403",
        body=lambda place: {"name": "Lower Hall", "zone": "Europe/Lisbon"},
    ),
    Right("GET", "studio", "200 200 404", "200 404 404", "200 404 404", url=one),
    Right(
        "PATCH",
        "studio",
        "200 200 404",
        "403 404 404",
        "403 404 404",
        url=one,
        body=lambda place: {"mats": 3},
    ),
]
