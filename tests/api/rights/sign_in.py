"""Signing in and out with a browser: what a token may do elsewhere counts for nothing here."""

from tests.api.rights.table import Right

NOBODY, REFUSED = ("401 401 401",) * 3, ("400 400 400",) * 3


def wrong(place):
    return {"email": f"{place.member}@lantern.example", "password": "not hers"}


def change(place):
    return {"current_password": "not hers", "new_password": "nor anybody else's"}


RIGHTS = [
    Right("POST", "sign-in", *REFUSED, body=wrong, nobody=400, api=False),
    Right("GET", "signed-in", *NOBODY, api=False),
    Right("DELETE", "signed-in", *NOBODY, api=False),
    Right("POST", "password", *NOBODY, body=change, api=False),
]
