"""Names as people type them: compared, found again, and suggested."""

import difflib
import unicodedata
from collections.abc import Iterable

# Composing takes the square of the marks in a row: a megabyte of them would take hours.
LONGEST_COMPOSED = 1000


def composed(text: str) -> str:
    """A text in composed characters, its ends trimmed; one longer than any name stays as it is."""
    text = text.strip()
    return text if len(text) > LONGEST_COMPOSED else unicodedata.normalize("NFC", text)


def folded(text: str) -> str:
    """A name as it is compared: composed, one space between words, no case, no last point."""
    words = composed(text).casefold().split()
    return " ".join(words).removesuffix(".")


def bare(text: str) -> str:
    """A folded name without its accents, as somebody without that keyboard writes it."""
    split = folded(text)
    if len(split) <= LONGEST_COMPOSED:
        split = unicodedata.normalize("NFD", split)
    return "".join(letter for letter in split if not unicodedata.combining(letter))


def alphabetical(text: str) -> tuple[str, str, str]:
    """A key to sort names by, whatever their case and accents."""
    return bare(text), folded(text), text


def close_to(text: str, names: Iterable[str]) -> str:
    """The end of a sentence that says which names come close; empty when none does."""
    by_bare: dict[str, list[str]] = {}
    for name in names:
        by_bare.setdefault(bare(name), []).append(name)
    near = difflib.get_close_matches(bare(text), sorted(by_bare), n=3)
    found = sorted((name for key in near for name in by_bare[key]), key=alphabetical)
    return f"; close to it: {', '.join(found)}" if found else ""
