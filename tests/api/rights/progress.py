"""What a child and a class have come to is for teachers at their studio."""

from tests.api.rights.table import Right

TEACHERS = ("200 200 404", "200 404 404", "403 403 403")


RIGHTS = [
    Right("GET", "student-path", *TEACHERS, url=lambda place: {"student": place.student}),
    Right("GET", "class-progress", *TEACHERS, url=lambda place: {"klass": place.klass}),
]
