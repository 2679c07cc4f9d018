"""Staff know whom they work with; a head teacher takes on, changes and takes leave."""

from tests.api.rights.table import Right


def one(place):
    return {"member": place.member}


def new(place):
    return {"name": "Ottilie R.", "role": "assistant", "adult": True, "studios": [place.studio]}


RIGHTS = [
    Right("GET", "staff", "200 200 200", "200 200 200", "200 200 200"),
    Right("POST", "staff", "201 201 400", "403 403 403", "403 403 403", body=new),
    Right(
        "POST",
        "staff-file",
        "200 200 200",
        "403 403 403",
        "403 403 403",
        body=lambda place: b"name,role,adult\nOttilie R.,head teacher,yes\n",
        content="text/csv",
    ),
    Right("GET", "member", "200 200 404", "200 404 404", "200 404 404", url=one),
    Right(
        "PATCH",
        "member",
        "200 200 404",
        "403 404 404",
        "403 404 404",
        url=one,
        body=lambda place: {"until": "2026-06-30", "studios": [place.studio]},
    ),
    Right("POST", "member-revoke", "200 200 404", "403 404 404", "403 404 404", url=one),
]
