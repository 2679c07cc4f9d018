"""The sheet of an evening as plain texts, and its two forms: terminal and one HTML page.

Both forms are made from the same `Sheet`, so that neither can say what the other does not.
"""

import textwrap
from dataclasses import dataclass

from django.template.loader import render_to_string

WIDTH = 96


@dataclass(frozen=True)
class Entry:
    """One line of a section: an optional label, a text, and lines below it."""

    text: str
    label: str = ""
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Section:
    """A heading, lines below it, and entries; `kind` is a hook for the page's layout."""

    heading: str
    entries: tuple[Entry, ...]
    leads: tuple[str, ...] = ()
    kind: str = "plain"


@dataclass(frozen=True)
class Sheet:
    """Everything that stands on one sheet, in reading order."""

    title: str
    subtitle: str
    known: str
    sections: tuple[Section, ...]
    foot: str


def as_text(sheet: Sheet) -> str:
    """The sheet for a terminal, wrapped to `WIDTH` columns."""
    out = [sheet.title, "=" * min(len(sheet.title), WIDTH), *_wrapped(sheet.subtitle), sheet.known]
    for section in sheet.sections:
        out += ["", section.heading, "-" * min(len(section.heading), WIDTH)]
        for lead in section.leads:
            out += _wrapped(lead)
        for entry in section.entries:
            label = f"{entry.label}: " if entry.label else ""
            out += _wrapped(label + entry.text, first="  ", rest="      ")
            for line in entry.lines:
                out += _wrapped(line, first="      ", rest="        ")
    out += ["", *_wrapped(sheet.foot)]
    return "\n".join(out) + "\n"


def as_html(sheet: Sheet) -> str:
    """The sheet as one self-contained page: no script, no file beside it."""
    return render_to_string("planning/sheet.html", {"sheet": sheet})


def _wrapped(text, *, first="", rest=""):
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
