"""The sheet of a lesson is for all of its studio, an assistant too."""

from tests.api.rights.table import Right

OF_STUDIO = ("200 200 404", "200 404 404", "200 404 404")


def lesson(place):
    return {"lesson": place.lesson}


RIGHTS = [
    Right("GET", "lesson-sheet", *OF_STUDIO, url=lesson),
    Right("GET", "lesson-sheet-page", *OF_STUDIO, url=lesson),
    Right("GET", "lesson-suggestions", *OF_STUDIO, url=lesson),
    Right(
        "GET",
        "lesson-pair-table",
        *OF_STUDIO,
        url=lesson,
        query=lambda place: {"skill": place.skill},
    ),
    Right(
        "GET",
        "student-ways-up",
        *OF_STUDIO,
        url=lambda place: {"student": place.student},
        query=lesson,
    ),
]
