"""Evenings of every kind of which a sheet may have to tell, each with what is asked of it."""

from dataclasses import replace
from datetime import timedelta
from functools import cache

from planning.evening import Evening
from planning.sheet import Sheet
from planning.tonight import make_sheet
from tests.planning.build import (
    AGREED,
    AROHA,
    LEANS,
    LIFTED,
    ON,
    PROPS,
    SIX,
    ZEYNEP,
    Pupil,
    Tried,
    clean,
    evening,
    pupils,
)

LATER = ON + timedelta(days=54)


def of_every_kind() -> Evening:
    """Everything that can be said of children at once."""
    worked = (*PROPS, *clean("lean", role="partner", weeks=(2, 1), group="two"))
    return evening(
        Pupil("Amara", (*worked, *clean("seat", role="base", weeks=(3, 2, 1))), agreed=AGREED),
        Pupil("Bao", **LIFTED | {"restricted": (("wrists", LATER), ("back", ON))}),
        Pupil("Clíodhna", **LIFTED | {"last_here": ON - timedelta(days=40)}),
        Pupil("Demba", worked, age=6, withdrawn=frozenset({"lifting"})),
        Pupil("Hana", PROPS, not_today=True),
        Pupil("Ikaika", **LIFTED | {"trial": True}),
        Pupil("Mireille", (Tried("table", "solo", 9, outcome="shaky"), *LEANS)),
        Pupil("Nguyệt"),
        Pupil("Rangi", **LIFTED | {"height_on": ON - timedelta(days=300)}),
        Pupil("Þóra", **LIFTED | {"last_here": None}),
        spotters=(AROHA, ZEYNEP),
        yeses=[("Rangi", "seat", "base")],
        pairs_ok=[("Rangi", "Þóra")],
        open_falls=[("Bao", "chest_rest", "flyer"), ("Þóra", "bridge", "solo")],
        apart=[("Amara", "Ikaika")],
        together=[("Clíodhna", "Þóra")],
        away=pupils("Sunniva", "Zola"),
        closed="spring break",
    )


def _with_masses(tonight, *masses):
    here = zip(tonight.here, masses, strict=True)
    return replace(tonight, here=tuple(replace(one, mass_kg=mass) for one, mass in here))


# An evening, and the skills asked for by key if any.
EVENINGS: dict[str, tuple[Evening] | tuple[Evening, tuple[str, ...]]] = {
    "nobody here": (evening(),),
    "one child": (evening(Pupil("Amara", PROPS)),),
    "nobody up for it": (evening(*pupils(*SIX, tries=PROPS, not_today=True)),),
    "nothing logged": (evening(*pupils(*SIX)),),
    "leans": (evening(*pupils(*SIX, tries=LEANS)),),
    "props": (evening(*pupils(*SIX, tries=PROPS)),),
    "lifts": (evening(*pupils(*SIX, **LIFTED)),),
    "lifts by name": (evening(*pupils(*SIX, **LIFTED)), ("seat", "line")),
    "masses": (_with_masses(evening(*pupils(*SIX, **LIFTED)), 25, 26, 40, 24, 27, 41), ("seat",)),
    "nobody free to spot": (evening(*pupils(*SIX, **LIFTED), spotters=()), ("seat", "chest_rest")),
    "no mat": (evening(*pupils(*SIX, tries=PROPS), mats=0), ("lean", "chest_rest")),
    "everything": (of_every_kind(),),
    "everything by name": (of_every_kind(), ("seat", "chest_rest", "straight_lean", "line")),
    "a name that looks like a page": (evening(*pupils("<b>Amara</b>", "Bao & Co", tries=LEANS)),),
}


@cache
def sheet_of(name: str) -> Sheet:
    """The sheet of one of `EVENINGS`."""
    tonight, *skills = EVENINGS[name]
    return make_sheet(tonight, skills=skills[0] if skills else ())[0]


def texts_of(made: Sheet) -> list[str]:
    """Every text of a sheet by itself, in reading order."""
    found = [made.title, made.subtitle, made.known, made.foot]
    for section in made.sections:
        found += [section.heading, *section.leads]
        for entry in section.entries:
            found += [entry.label, entry.text, *entry.lines]
    return found


def headings(tonight: Evening, *skills: str) -> list[str]:
    """The headings of an evening's sheet."""
    return [section.heading for section in make_sheet(tonight, skills=skills)[0].sections]


def entries(tonight: Evening, heading: str, *skills: str) -> list[tuple[str, str]]:
    """The entries of a section as (label, text); none where there is no such section."""
    sections = make_sheet(tonight, skills=skills)[0].sections
    found = [section for section in sections if section.heading.startswith(heading)]
    assert len(found) <= 1
    return [(one.label, one.text) for one in found[0].entries] if found else []
