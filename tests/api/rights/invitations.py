"""A teacher invites whom she works with; whoever holds the secret needs no token."""

from tests.api.rights.table import Right

RIGHTS = [
    Right(
        "POST",
        "member-invitations",
        "201 201 404",
        "201 404 404",
        "403 404 404",
        url=lambda place: {"member": place.member},
    ),
    Right(
        "POST",
        "invitation-accept",
        "404 404 404",
        "404 404 404",
        "404 404 404",
        body=lambda place: {"secret": "of nobody"},
        nobody=404,
    ),
]
