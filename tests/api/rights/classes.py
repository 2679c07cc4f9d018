"""Classes are seen at their studio; a head teacher sets them, one by one or as a file."""

from tests.api.rights.table import Right


def one(place):
    return {"klass": place.klass}


RIGHTS = [
    Right("GET", "classes", "200 200 200", "200 200 200", "200 200 200"),
    Right(
        "POST",
        "classes",
        "201 201 400",
        "403 403 403",
        "403 403 403",
        body=lambda place: {
            "name": "Late",
            "studio": place.studio,
            "weekday": "Friday",
            "starts": "18:00",
        },
    ),
    Right("GET", "class", "200 200 404", "200 404 404", "200 404 404", url=one),
    Right(
        "PATCH",
        "class",
        "200 200 404",
        "403 404 404",
        "403 404 404",
        url=one,
        body=lambda place: {
            "minutes": 50,
            "studio": place.studio,
            "until": "2026-12-31",
            "confirmed": True,
        },
    ),
    Right(
        "PUT",
        "timetable",
        "200 200 200",
        "403 403 403",
        "403 403 403",
        body=lambda place: b"format: classes/1\npolicy: {bar: 0.85}\n",
        content="application/yaml",
    ),
]
