"""Prints the table of rights as a page."""

import sys

from tests.api.rights import ROWS
from tests.api.rights.table import as_markdown

sys.stdout.write(as_markdown(ROWS))
