"""A height is a teacher's to enter, a mass a head teacher's; she alone reads one."""

from tests.api.rights.table import Right


def a_height(place):
    row = {"student": place.student, "kind": "height_cm", "on": place.on, "value": 139}
    return {"rows": [row]}


RIGHTS = [
    Right("POST", "measurements", "201 201 400", "201 400 400", "403 403 403", body=a_height),
    Right(
        "GET",
        "student-mass",
        "200 200 404",
        "403 403 403",
        "403 403 403",
        url=lambda place: {"student": place.student},
    ),
]
