"""Everybody may know who she is."""

from tests.api.rights.table import Right

RIGHTS = [Right("GET", "me", "200 200 200", "200 200 200", "200 200 200")]
