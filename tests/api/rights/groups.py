"""Groups are seen by all of their studio; what lifts or asks is a teacher's to keep, and a lock."""

from tests.api.rights.table import Right


def of_lesson(place):
    return {"lesson": place.lesson}


def of_skill(place):
    return of_lesson(place) | {"skill": place.skill}


def read(place):
    return {"If-Match": '"v1"'}


def formed(place):
    return [{"id": place.group, "seats": {"base": [place.student], "flyer": [place.student2]}}]


def change(method, route, body=None, *, head="200 200 404", teacher="200 404 404", assistant=None):
    assistant = assistant or "403 404 404"
    return Right(method, route, head, teacher, assistant, url=of_skill, body=body, headers=read)


RIGHTS = [
    Right("GET", "groups", "200 200 404", "200 404 404", "200 404 404", url=of_lesson),
    Right(
        "POST",
        "groups",
        "200 200 404",
        "200 404 404",
        "200 404 404",
        url=of_lesson,
        body=lambda place: {"skill": place.skill},
    ),
    Right(
        "POST",
        "groups-check",
        "200 200 404",
        "200 404 404",
        "200 404 404",
        url=of_lesson,
        body=lambda place: {"skill": place.skill, "groups": formed(place)},
    ),
    Right("GET", "groups-skill", "200 200 404", "200 404 404", "200 404 404", url=of_skill),
    change("PUT", "groups-skill", lambda place: {"groups": formed(place)}),
    change("DELETE", "groups-skill"),
    change("POST", "groups-regroup"),
    change("POST", "groups-swap", lambda place: {"a": place.student, "b": place.student3}),
    change(
        "POST",
        "groups-move",
        lambda place: {"student": place.student, "group": place.group, "role": "base"},
    ),
    change("POST", "groups-lock", lambda place: {"group": place.group, "locked": True}),
    # There is no place for a third child beside a pair.
    change(
        "POST",
        "groups-latecomer",
        lambda place: {"student": place.student3},
        head="409 409 404",
        teacher="409 404 404",
        assistant="409 404 404",
    ),
    Right(
        "POST",
        "lesson-asks",
        "201 201 404",
        "201 404 404",
        "403 404 404",
        url=of_lesson,
        body=lambda place: {
            "skill": place.skill,
            "code": "not_ready",
            "students": [place.student2],
            "role": "flyer",
            "reason": "seen",
        },
    ),
    # Every row is answered by itself.
    Right(
        "POST",
        "groups-batch",
        "200 200 200",
        "200 200 200",
        "200 200 200",
        body=lambda place: {
            "rows": [
                {
                    "id": "00000000-0000-4000-8000-0000000000ab",
                    "class": place.klass,
                    "on": place.on,
                    "skill_id": place.skill_id,
                    "groups": formed(place),
                    "based_on": 1,
                }
            ]
        },
    ),
]
