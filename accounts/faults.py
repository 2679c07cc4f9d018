"""What is wrong in a file that somebody wants to load: all of it at once, nothing loaded."""

from collections.abc import Iterable
from dataclasses import dataclass

FARTHEST_YEARS = 20  # a date farther from today than this is a slip of the keys


@dataclass(frozen=True, order=True)
class Fault:
    """One thing that is wrong: where (JSON pointer, or row and column) and what."""

    place: str
    message: str

    def __str__(self) -> str:
        return f"{self.place}: {self.message}"


class BadDocument(Exception):
    """A file is refused; `faults` are all that was found, `str()` is one line for each."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))
