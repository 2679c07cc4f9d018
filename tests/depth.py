"""How far random tests go: few cases in the suite, the same on every run; many under `DEEP=1`."""

import os

DEEP = bool(os.environ.get("DEEP"))


def cases(few: int, many: int) -> range:
    """The seeds of a test that rolls its own dice."""
    return range(many if DEEP else few)
