"""Who is signed in with a browser is told to whoever uses it; a program has a token instead."""

from tests.api.rights.table import Right

ANYBODY, NOBODY = ("200 200 200",) * 3, ("401 401 401",) * 3
RIGHTS = [
    Right("GET", "session", *ANYBODY, nobody=200),
    Right("PUT", "session", *NOBODY, body=lambda place: {"stay": True}),
]
