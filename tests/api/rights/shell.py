"""The client's page is the same for everybody; it holds nothing of anybody."""

from tests.api.rights.table import Right

RIGHTS = [Right("GET", "shell", *("200 200 200",) * 3, nobody=200, api=False)]
