"""The rows of a class list: its columns, and what the texts of one row mean.

An empty cell says nothing. A column for mass is refused by its name where there is no such field.
"""

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache

from accounts.faults import FARTHEST_YEARS, BadDocument, Fault
from accounts.models import IMPERIAL
from accounts.policy import policy
from accounts.scope import Scope, Unknown
from accounts.tables import Cells, Column, match, read_day, read_grid
from classes.classes import ClassView, class_named, today
from classes.models.children import HANDS_ON, LIFTING, RECORD_MASS
from classes.students import age_years
from engine.growth import CM_PER_INCH

AGREED = {"agreed_hands_on": HANDS_ON, "agreed_lifting": LIFTING, "agreed_mass": RECORD_MASS}
MASS_COLUMNS = (
    Column("mass_kg", also=("mass", "weight_kg", "weight")),
    Column("mass_on"),
    Column("agreed_mass"),
)
COLUMNS = (
    Column("given_name", also=("name", "first name", "child", "student"), required=True),
    Column("initial", also=("surname initial",)),
    Column("birth", also=("born", "date of birth", "birth date", "birthday")),
    Column("birth_month", also=("month",)),
    Column("birth_year", also=("year",)),
    Column("height_cm"),
    Column("height"),
    Column("height_on", also=("measured_on", "measured")),
    Column("joined", also=("from", "from_date", "joined_on")),
    Column("until", also=("last day",)),
    Column("trial"),
    Column("agreed_hands_on"),
    Column("agreed_lifting"),
    Column("note", also=("notes",)),
    Column("class", also=("group",)),
)
MASS_WORD = re.compile(
    "mass|masse|masa|massa|bmi|kgs?|kilos?|kilogram(me)?s?|lbs?|pounds?|stone|(body)?weights?|wt"
    "|poids|(körper)?gewicht|peso|vekt|vikt|vægt|waga|paino|hmotnost"
)
# Wide enough for a slip of the unit to come to the growth check, which names it.
LOW_CM, HIGH_CM, LOW_KG, HIGH_KG = 0.5, 2500, 1, 500
OLDEST_YEARS = 100
# What a question is about -> where a row may give it.
COLUMNS_OF = {
    "height": ("height_cm", "height"),
    "mass": ("mass_kg",),
    "birth_month": ("birth", "birth_year"),
}
NO_NOTE = "-"
IN_NAMES = " '’-.\u200c\u200d"  # beside letters and marks


@dataclass(frozen=True)
class Entry:
    """What one row says of one child in one class; None is what it does not say.

    `agreed` maps a kind of agreement to its date; an empty `note` takes the standing one out.
    """

    cells: Cells
    klass: ClassView
    given_name: str
    initial: str
    birth: tuple[int, int]
    height_cm: float | None
    height_on: date | None
    mass_kg: float | None
    mass_on: date | None
    joined: date | None
    until: date | None
    trial: bool | None
    agreed: Mapping[str, date]
    note: str | None

    @property
    def number(self) -> int:
        return self.cells.row.number

    def column(self, what: str) -> str:
        """The column in which this row gives a height, a mass or a birth month."""
        names = COLUMNS_OF[what]
        return next((name for name in names if self.cells.row.texts.get(name)), names[0])


class Sheet:
    """A class list whose columns are understood; `whole_days` fills while its rows are read.

    `klass` is the class that every row is about, None where a column says it. Raises
    `BadDocument` when there is no table, or its columns are wrong.
    """

    def __init__(self, scope: Scope, *, content: bytes, klass: ClassView | None, at: datetime):
        rules = policy(scope)
        self._klass, self._at = klass, at
        self._find = cache(lambda name: class_named(scope, name=name))
        self._mass_from_age = rules.mass_from_age
        self._table = _table(read_grid(content), klass, _no_mass(scope, rules))
        self.mapping = self._table.say_mapping()
        self.whole_days: list[int] = []  # rows whose day of birth is left out

    def entries(self, faults: list[Fault]) -> Iterator[Entry]:
        """This will read row after row; one with a fault is left out, and its faults are added."""
        for row in self._table.rows:
            cells = Cells(row, faults)
            before = len(faults)
            entry = self._entry(cells)
            if len(faults) == before:
                yield entry

    def _entry(self, cells):
        klass = self._class(cells)
        on = today(klass, self._at) if klass else self._at.date()
        given_name, initial = _name(cells)
        birth = self._birth(cells, on)
        height_cm = _height(cells, klass)
        mass_kg = cells.number("mass_kg", low=LOW_KG, high=HIGH_KG)
        height_on, mass_on = (_past(cells, name, on) for name in ("height_on", "mass_on"))
        agreed = {kind: _past(cells, column, on) for column, kind in AGREED.items()}
        entry = Entry(
            cells=cells,
            klass=klass,
            given_name=given_name,
            initial=initial,
            birth=birth,
            height_cm=height_cm,
            height_on=height_on,
            mass_kg=mass_kg,
            mass_on=mass_on or height_on,
            joined=_near(cells, "joined", on),
            until=_near(cells, "until", on),
            trial=cells.flag("trial"),
            agreed={kind: day for kind, day in agreed.items() if day},
            note=_note(cells),
        )
        if entry.joined and entry.until and entry.until < entry.joined:
            cells.fault("until", f"{entry.until} is before {entry.joined}")
        if birth:
            self._check_mass(entry, on)
        return entry

    def _class(self, cells):
        name = cells.text("class", required=self._klass is None, longest=120)
        if name is None:
            return self._klass
        try:
            found = self._find(name)
        except Unknown as error:
            cells.fault("class", str(error))
            return None
        if self._klass and found != self._klass:
            cells.fault("class", f"this list is loaded for {self._klass.name}")
        return found

    def _birth(self, cells, on):
        """Year and month of birth; of a whole date the day is left out, and said to be."""
        text = cells.text("birth")
        if text is None and cells.has("birth_year"):
            year = cells.integer("birth_year", low=1900, high=2200, required=True)
            month = cells.integer("birth_month", low=1, high=12, required=True)
        elif text is None:
            cells.fault("birth", "missing")
            return None
        elif found := re.fullmatch(r"(\d{4})-(\d{1,2})|(\d{1,2})[./](\d{4})", text, re.ASCII):
            year, month = int(found[1] or found[4]), int(found[2] or found[3])
            if not 1 <= month <= 12:
                cells.fault("birth", f"“{text}” should be a month such as 2016-05")
                return None
        else:
            day = read_day(text)
            if day is None:
                cells.fault("birth", f"“{text}” should be a month such as 2016-05")
                return None
            self.whole_days.append(cells.row.number)
            year, month = day.year, day.month
        if year is None or month is None:
            return None
        if fault := birth_fault(year, month, on):
            cells.fault("birth" if text else "birth_year", fault)
            return None
        return year, month

    def _check_mass(self, entry, on):
        agreed = entry.agreed.get(RECORD_MASS)
        if entry.mass_kg is None and agreed is None:
            return
        on = entry.mass_on or on
        column = "agreed_mass" if entry.mass_kg is None else "mass_kg"
        year, month = entry.birth
        if age_years(birth_year=year, birth_month=month, on=on) < self._mass_from_age:
            entry.cells.fault(column, f"there is no such field under {self._mass_from_age} years")
        elif entry.mass_kg is not None and agreed is None:
            entry.cells.fault(column, "needs the day of the guardian's agreement in “agreed_mass”")
        elif entry.mass_kg is not None and on < agreed:
            entry.cells.fault(column, f"of {on}, before it was agreed on {agreed}")


def _no_mass(scope, rules):
    """Why a column for mass is refused; None where there is such a field."""
    if not rules.uses_mass:
        return "this school does not record it"
    return None if scope.is_head else "a head teacher's right"


def _table(grid, klass, no_mass):
    faults = list(_mass_faults(grid[0], no_mass))
    try:
        table = match(grid, COLUMNS if no_mass else (*COLUMNS, *MASS_COLUMNS))
    except BadDocument as error:
        raise BadDocument([*faults, *error.faults]) from None
    names = {name for _, name in table.mapping}
    if "birth" not in names and not {"birth_month", "birth_year"} <= names:
        faults.append(Fault("row 1", "no column “birth”, nor “birth_month” and “birth_year”"))
    if klass is None and "class" not in names:
        faults.append(Fault("row 1", "no column “class”, and no class is named beside the file"))
    if faults:
        raise BadDocument(faults)
    return table


def _mass_faults(headers, no_mass) -> Iterator[Fault]:
    allowed = set()
    if no_mass is None:
        for column in MASS_COLUMNS:
            allowed |= {_words(header) for header in (column.name, *column.also)}
    for header in headers:
        words = _words(header)
        if any(map(MASS_WORD.fullmatch, words)) and words not in allowed:
            why = no_mass or "the column should be called mass_kg, in kilograms"
            yield Fault(f"row 1, column “{header}”", f"a column for mass: {why}")


def _words(header):
    return tuple(re.findall(r"[^\W\d_]+", header.casefold()))


def _name(cells):
    """Given name and initial, which may stand behind the name."""
    name = cells.text("given_name", required=True, longest=60)
    initial = cells.text("initial", longest=5)
    if name and not initial:
        behind = re.fullmatch(r"(.+?)\s+([^\W\d_]{1,4})\.", name)
        behind = behind or re.fullmatch(r"(.+?)\s+([^\W\d_])", name)
        if behind and behind[2][0].isupper():
            name, initial = behind[1], behind[2]
    initial = (initial or "").removesuffix(".")
    for column, fault in name_faults(name, initial):
        cells.fault(column, fault)
    return name, tidy_initial(initial)


def name_faults(given_name: str | None, initial: str | None) -> Iterator[tuple[str, str]]:
    """What is wrong with a name that is given: “given_name” or “initial”, and why."""
    if given_name and not _is_name(given_name):
        yield "given_name", f"“{given_name}” should be a name"
    initial = (initial or "").removesuffix(".")
    if initial and not (initial.isalpha() and len(initial) <= 4):
        yield "initial", f"“{initial}” should be one to four letters"


def tidy_initial(initial: str | None) -> str:
    """An initial as it is kept: without its point, the first letter large."""
    initial = (initial or "").removesuffix(".")
    return initial[:1].upper() + initial[1:]


def birth_fault(year: int, month: int, on: date) -> str | None:
    """Why nobody who dances on a date was born in this month; None when somebody may be."""
    if (year, month) > (on.year, on.month) or year < on.year - OLDEST_YEARS:
        return f"nobody in a class was born in {year:04d}-{month:02d}"
    return None


def _is_name(text):
    letters = [letter for letter in text if letter not in IN_NAMES]
    return bool(letters) and all(unicodedata.category(letter)[0] in "LM" for letter in letters)


def _height(cells, klass):
    """The height in cm; a column that names no unit is in the studio's own."""
    height_cm = cells.number("height_cm", low=LOW_CM, high=HIGH_CM)
    height = cells.number("height", low=LOW_CM, high=HIGH_CM)
    if height is None or klass is None:
        return height_cm
    if height_cm is not None:
        cells.fault("height", "given in “height_cm” already")
    return round(height * CM_PER_INCH, 1) if klass.units == IMPERIAL else height


def _past(cells, column, on):
    """A day that has been, where a class meets."""
    day = _near(cells, column, on)
    if day and day > on:
        cells.fault(column, f"{day} is still to come")
        return None
    return day


def _near(cells, column, on):
    """A day that somebody can have meant."""
    day = cells.day(column)
    if day and abs(day.year - on.year) > FARTHEST_YEARS:
        cells.fault(column, f"{day} is more than {FARTHEST_YEARS} years from now")
        return None
    return day


def _note(cells):
    text = cells.text("note")
    return "" if text == NO_NOTE else text


def meant(places, entry, on):
    """The place that a row speaks of; None for a further one: a trial ends, or she comes back."""
    for place in places:
        if place.from_date == entry.joined:
            return place
    if not places:
        return None
    last, start = places[-1], entry.joined or on
    turned = entry.trial not in (None, last.trial) and start > last.from_date
    ended = last.until is not None and last.until < start and last.until != entry.until
    return None if turned or ended else last


def new_on(standing, value, said_on, on):
    """The day for which a value is new; None when there is none, or it stands.

    A row that names no day and brings the latest value brings nothing.
    """
    if value is None:
        return None
    if said_on is None and standing and standing[max(standing)].value == value:
        return None
    day = said_on or on
    return None if day in standing and standing[day].value == value else day
