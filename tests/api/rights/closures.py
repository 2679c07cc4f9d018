"""Closures are seen where they hold; a head teacher sets them."""

from tests.api.rights.table import Right


def one(place):
    return {"closure": place.closure}


RIGHTS = [
    Right("GET", "closures", "200 200 200", "200 200 200", "200 200 200"),
    Right(
        "POST",
        "closures",
        "201 201 400",
        "403 403 403",
        "403 403 403",
        body=lambda place: {
            "name": "Storm",
            "first": "2026-03-17",
            "last": "2026-03-17",
            "studio": place.studio,
        },
    ),
    Right("GET", "closure", "200 200 404", "200 404 404", "200 404 404", url=one),
    Right(
        "PATCH",
        "closure",
        "200 200 404",
        "403 404 404",
        "403 404 404",
        url=one,
        body=lambda place: {"last": "2025-11-06", "studio": place.studio},
    ),
    Right("DELETE", "closure", "204 204 404", "403 404 404", "403 404 404", url=one),
]
