"""The contract may be read by whoever has a token."""

from tests.api.rights.table import Right

RIGHTS = [Right("GET", "openapi", "200 200 200", "200 200 200", "200 200 200")]
