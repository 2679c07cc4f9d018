"""What a studio takes into use is a head teacher's to say and its staff's to know."""

from tests.api.rights.table import Right


def studio(place):
    return {"studio": place.studio}


RIGHTS = [
    Right("GET", "studio-adoptions", "200 200 404", "200 404 404", "200 404 404", url=studio),
    Right(
        "POST",
        "studio-adoptions",
        "201 201 404",
        "403 403 403",
        "403 403 403",
        url=studio,
        body=lambda place: {"number": place.number, "from_date": "2026-09-01"},
    ),
    Right(
        "DELETE",
        "studio-adoption",
        "204 204 404",
        "403 404 404",
        "403 404 404",
        url=lambda place: {"studio": place.studio, "from_date": place.taken_on_from},
    ),
    # It is in use there.
    Right(
        "POST",
        "studio-held-back",
        "409 409 404",
        "403 403 403",
        "403 403 403",
        url=studio,
        body=lambda place: {"number": place.number, "reason": "the second hall has no mats"},
    ),
    Right(
        "DELETE",
        "studio-held-back-edition",
        "404 404 404",
        "403 404 404",
        "403 404 404",
        url=lambda place: studio(place) | {"number": place.number},
    ),
]
