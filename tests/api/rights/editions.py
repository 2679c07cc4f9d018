"""What is published is for all of the staff; what a studio has in use, for those of the studio."""

from tests.api.rights.table import Right


def one(place):
    return {"number": place.number}


def card(place):
    return {"number": place.number, "skill": place.skill}


# A number is a school's own: that of another school names one's own edition.
RIGHTS = [
    Right("GET", "editions", "200 200 200", "200 200 200", "200 200 200"),
    Right("GET", "edition", "200 200 200", "200 200 200", "200 200 200", url=one),
    Right("GET", "edition-card", "200 200 200", "200 200 200", "200 200 200", url=card),
    # Both studios have it in use.
    Right(
        "POST",
        "edition-withdraw",
        "409 409 409",
        "403 403 403",
        "403 403 403",
        url=one,
        body=lambda place: {"reason": "a slip in the spot of the seat"},
    ),
    Right(
        "GET",
        "studio-edition",
        "200 200 404",
        "200 404 404",
        "200 404 404",
        url=lambda place: {"studio": place.studio},
    ),
]
