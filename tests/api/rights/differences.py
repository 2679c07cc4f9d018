"""What a draft changes is for head teachers, what an edition changed for all who teach it."""

from tests.api.rights.drafts import NEVER
from tests.api.rights.table import Right


def against(place):
    return {"number": place.number}


# A number is a school's own: that of another school names one's own edition.
RIGHTS = [
    Right(
        "GET",
        "draft-difference",
        "200 200 404",
        **NEVER,
        url=lambda place: {"draft": place.draft},
        query=against,
    ),
    Right("GET", "edition-difference", "200 200 200", "200 200 200", "200 200 200", url=against),
]
