"""Children are seen by all of their studio; a teacher takes them on and corrects them."""

from classes.models import Enrolment
from tests.api.rights.table import Right


def one(place):
    return {"student": place.student}


def her_place(place):
    enrolment = Enrolment.objects.get(student_id=place.student)
    return {"student": place.student, "place": str(enrolment.id)}


def came_to_try(place):
    row = {
        "id": "0f0e0d0c-0000-7000-8000-000000000003",
        "given_name": "Xiomara",
        "class": place.klass,
        "on": place.on,
    }
    return {"rows": [row]}


RIGHTS = [
    Right("POST", "students-batch", "200 200 200", "200 200 200", "200 200 200", body=came_to_try),
    # A class that cannot be seen has no children.
    Right(
        "GET",
        "students",
        "200 200 200",
        "200 200 200",
        "200 200 200",
        query=lambda place: {"class": place.klass},
    ),
    Right(
        "POST",
        "students",
        "201 201 400",
        "201 400 400",
        "403 403 403",
        body=lambda place: {
            "given_name": "Xiomara",
            "birth_year": 2015,
            "birth_month": 4,
            "class": place.klass,
        },
    ),
    Right("GET", "student", "200 200 404", "200 404 404", "200 404 404", url=one),
    Right(
        "PATCH",
        "student",
        "200 200 404",
        "200 404 404",
        "403 404 404",
        url=one,
        body=lambda place: {"guardian_note": "the aunt fetches her"},
    ),
    Right(
        "POST",
        "student-places",
        "201 201 404",
        "201 404 404",
        "403 404 404",
        url=one,
        body=lambda place: {"class": place.klass, "from": "2026-03-17", "trial": True},
    ),
    Right(
        "PATCH",
        "student-place",
        "200 200 404",
        "200 404 404",
        "403 404 404",
        url=her_place,
        body=lambda place: {"until": "2026-03-31"},
    ),
]
