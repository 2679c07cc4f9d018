"""Whoever starts and stops the processes has no token."""

from tests.api.rights.table import Right

EVERYBODY = ("200 200 200",) * 3
RIGHTS = [
    Right("GET", "livez", *EVERYBODY, nobody=200, api=False),
    Right("GET", "readyz", *EVERYBODY, nobody=200, api=False),
]
