"""A letter is a teacher's to hand out; that it was read is an event."""

from tests.api.rights.table import Right

TEACHERS = ("200 200 404", "200 404 404", "403 403 403")


def one(place):
    return {"student": place.student}


RIGHTS = [
    Right("GET", "student-letter", *TEACHERS, url=one),
    Right("GET", "student-letter-page", *TEACHERS, url=one),
]
