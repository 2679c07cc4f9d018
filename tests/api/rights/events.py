"""The register is a head teacher's; about what is elsewhere there are no events."""

from tests.api.rights.table import Right

RIGHTS = [
    Right(
        "GET",
        "events",
        "200 200 200",
        "403 403 403",
        "403 403 403",
        query=lambda place: {"about": place.student},
    )
]
