"""Studios side by side are a head teacher's."""

from tests.api.rights.table import Right

RIGHTS = [
    Right(
        "GET",
        "comparison",
        "200 200 404",
        "403 403 403",
        "403 403 403",
        query=lambda place: {"term": place.term},
    )
]
