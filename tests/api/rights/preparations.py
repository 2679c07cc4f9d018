"""What was worked out for a lesson is for who teaches it."""

from tests.api.rights.table import Right

RIGHTS = [
    Right(
        "GET",
        "lesson-preparation",
        "200 200 404",
        "200 404 404",
        "403 403 403",
        url=lambda place: {"lesson": place.lesson},
    )
]
