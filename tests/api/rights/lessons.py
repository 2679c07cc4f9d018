"""Lessons are seen by all of their studio; what is said about one is a teacher's."""

from tests.api.rights.table import Right


def weeks(place):
    return {"first": place.before, "last": place.on, "class": place.klass}


def one(place):
    return {"lesson": place.lesson}


RIGHTS = [
    # A class that cannot be seen has no lessons.
    Right("GET", "lessons", "200 200 200", "200 200 200", "200 200 200", query=weeks),
    Right(
        "POST",
        "lessons",
        "201 201 400",
        "201 400 400",
        "403 403 403",
        body=lambda place: {"class": place.klass, "on": "2026-03-12"},
    ),
    Right("GET", "lesson", "200 200 404", "200 404 404", "200 404 404", url=one),
    Right(
        "PATCH",
        "lesson",
        "200 200 404",
        "200 404 404",
        "403 404 404",
        url=one,
        body=lambda place: {"mats": 3, "spotters": [place.member]},
    ),
]
