"""What waits is a head teacher's to decide."""

from tests.api.rights.attempts import tried
from tests.api.rights.table import Right


def row(place):
    return {"row": place.held}


RIGHTS = [
    Right("GET", "held", "200 200 200", "403 403 403", "403 403 403"),
    Right("POST", "held-admit", "200 200 404", "403 403 403", "403 403 403", url=row),
    Right("POST", "held-discard", "204 204 404", "403 403 403", "403 403 403", url=row),
    Right(
        "POST",
        "attempts-rescue",
        "200 200 400",
        "403 403 403",
        "403 403 403",
        body=lambda place: {"member": place.member, "rows": [tried(place)]},
    ),
]
