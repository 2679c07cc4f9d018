"""A token is for oneself; a head teacher makes and ends those of others."""

from tests.api.rights.table import Right


def one(place):
    return {"member": place.member}


RIGHTS = [
    Right("POST", "member-tokens", "201 201 404", "403 404 404", "403 404 404", url=one),
    Right("DELETE", "member-tokens", "204 204 404", "403 404 404", "403 404 404", url=one),
    Right("DELETE", "token-current", "204 204 204", "204 204 204", "204 204 204"),
]
