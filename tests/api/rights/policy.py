"""All staff know the limits; a head teacher sets them."""

from tests.api.rights.table import Right

RIGHTS = [
    Right("GET", "policy", "200 200 200", "200 200 200", "200 200 200"),
    Right(
        "PATCH",
        "policy",
        "200 200 200",
        "403 403 403",
        "403 403 403",
        body=lambda place: {"bar": 0.85},
    ),
]
