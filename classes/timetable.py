"""Studios, terms, closures, weekly classes and policy, as one file says them."""

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from pathlib import Path
from uuid import UUID
from zoneinfo import available_timezones

from django.db import transaction
from django.db.models import Model

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.models import School, Studio
from accounts.names import close_to, folded
from accounts.scope import Scope
from classes import lessons
from classes.classes import view
from classes.models import Class, Closure, Term
from classes.named import FARTHEST_YEARS, WEEKDAYS
from curriculum import editions
from curriculum.documents import read_yaml, schema_faults

SCHEMA = Path(__file__).parent / "schemas" / "classes.schema.json"
NO_PLACE = {"localtime", "Factory"}  # zones that mean something else on each machine, or nothing
DAY, TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}"), re.compile(r"[0-9]{2}:[0-9]{2}")
MINUTES_A_DAY = 24 * 60
STUDIO = "studio"
MODELS = {STUDIO: Studio, "term": Term, "closure": Closure, "class": Class}


@dataclass(frozen=True)
class Loaded:
    """What a file did, or in a dry run would do.

    `new` and `changed` name the entries (“studio Sellane Harbour”), `standing` counts those that
    stand already. `adopted` are the studios that begin with the newest curriculum, `lessons` the
    number of coming lessons that start at another moment now.
    """

    new: tuple[str, ...]
    changed: tuple[str, ...]
    standing: int
    adopted: tuple[str, ...]
    lessons: int


@dataclass(frozen=True)
class _Item:
    """One entry as a row with its new values; `columns` are those that differ from what stands."""

    kind: str
    row: Model
    is_new: bool
    columns: tuple[str, ...]
    remove: bool = False

    @property
    def label(self) -> str:
        return f"{self.kind} {self.row.name}" + (" (taken out)" if self.remove else "")


def load(scope: Scope, *, content: bytes, at: datetime, dry_run: bool = False) -> Loaded:
    """This will load a file of the format classes/1; what it does not name stays as it is.

    Raises `NotAllowed` and, with every fault at once, `BadDocument`.
    """
    scope.need_head("loading classes")
    document = read_yaml(content)
    faults = schema_faults(document, schema=SCHEMA)
    if faults:
        raise BadDocument(faults)
    with transaction.atomic():
        file = _File(scope, document, on=at.date())
        items = [*file.studios(), *file.terms(), *file.closures(), *file.classes()]
        if file.faults:
            raise BadDocument(file.faults)
        school = School.objects.get(id=scope.school_id)
        policy = {
            column: value
            for column, value in document.get("policy", {}).items()
            if getattr(school, column) != value
        }
        adopted, moved = (), 0
        if not dry_run:
            _store_policy(scope, school, policy, at=at)
            for item in items:
                _store(scope, item, at=at)
            moved = _move_lessons(scope, items, since=at.date())
            added = {item.row.id for item in items if item.is_new and item.kind == STUDIO}
            grown = replace(scope, studio_ids=scope.studio_ids | added)
            adopted = editions.adopt_first(grown, at=at)
    changed = [item.label for item in items if not item.is_new and (item.columns or item.remove)]
    new = [item.label for item in items if item.is_new]
    said = len(items) + len(document.get("policy", {}))
    return Loaded(
        new=tuple(new),
        changed=(*(f"policy {column}" for column in policy), *changed),
        standing=said - len(new) - len(changed) - len(policy),
        adopted=adopted,
        lessons=moved,
    )


def _store_policy(scope, school, policy, *, at):
    for column, value in policy.items():
        was = getattr(school, column)
        setattr(school, column, value)
        record(scope, what="change_policy", at=at, column=column, was=was, becomes=value)
    school.save(update_fields=list(policy))


def _store(scope, item, *, at):
    if item.remove:
        record(scope, what=f"remove_{item.kind}", at=at, about=item.row.id)
        item.row.delete()
    elif item.columns:
        what = f"{'add' if item.is_new else 'change'}_{item.kind}"
        item.row.save(force_insert=item.is_new)
        record(scope, what=what, at=at, about=item.row.id, columns=list(item.columns))


def _move_lessons(scope, items, *, since):
    """Coming lessons follow their class, and the zone of their studio."""
    ids = {item.row.id for item in items if item.columns and not item.is_new}
    rows = Class.objects.select_related("studio").filter(school_id=scope.school_id)
    moved = [view(row) for row in rows if ids & {row.id, row.studio_id}]
    return lessons.derive_again(scope, classes=moved, since=since)


class _File:
    """The entries of a document beside what stands; what is wrong gathers in `faults`."""

    def __init__(self, scope: Scope, document: Mapping, *, on: date) -> None:
        self.faults: list[Fault] = []
        self._document = document
        self._on = on
        self._school_id = scope.school_id
        self._studios, self._terms, self._classes = (
            {folded(row.name): row for row in model.objects.filter(school_id=scope.school_id)}
            for model in (Studio, Term, Class)
        )
        self._closures = {
            (row.studio_id, row.first_on): row
            for row in Closure.objects.filter(school_id=scope.school_id)
        }

    def studios(self) -> Iterator[_Item]:
        zones = available_timezones() - NO_PLACE
        for place, name, entry in self._entries("studios"):
            if entry["zone"] not in zones:
                hint = close_to(entry["zone"], zones)
                self._fault(f"{place}/zone", f"no IANA time zone “{entry['zone']}”{hint}")
            fields = {key: value for key, value in entry.items() if key != "name"}
            yield self._item(STUDIO, self._studios, folded(name), fields, name=name)

    def terms(self) -> Iterator[_Item]:
        places: dict[UUID, str] = {}
        for place, name, entry in self._entries("terms"):
            days = self._days(place, entry)
            if not days:
                continue
            item = self._item("term", self._terms, folded(name), days, name=name)
            places[item.row.id] = place
            yield item
        latest = None
        for term in sorted(self._terms.values(), key=lambda term: (term.first_on, term.name)):
            if latest and term.first_on <= latest.last_on and {term.id, latest.id} & places.keys():
                mine, other = (term, latest) if term.id in places else (latest, term)
                self._fault(places[mine.id], f"overlaps with the term {other.name}")
            if latest is None or term.last_on > latest.last_on:
                latest = term

    def closures(self) -> Iterator[_Item]:
        seen: dict[tuple, str] = {}
        for index, entry in enumerate(self._document.get("closures", ())):
            place = f"/closures/{index}"
            studio = self._studio(place, entry)
            days = self._days(place, entry)
            if not days or (studio is None and "studio" in entry):
                continue
            key = (studio and studio.id, days["first_on"])
            if seen.setdefault(key, place) != place:
                self._fault(place, f"begins on the same day as {seen[key]}")
                continue
            if not entry.get("remove"):
                fields = {**days, "name": _plain(entry["name"]), "studio_id": key[0]}
                yield self._item("closure", self._closures, key, fields)
            elif key in self._closures:
                row = self._closures[key]
                yield _Item("closure", row, is_new=False, columns=(), remove=True)

    def classes(self) -> Iterator[_Item]:
        for place, name, entry in self._entries("classes"):
            studio = self._studio(place, entry)
            starts_at = self._time(f"{place}/starts", entry["starts"])
            known = self._classes.get(folded(name), Class())
            if studio and known.studio_id not in (None, studio.id):
                stands = next(row for row in self._studios.values() if row.id == known.studio_id)
                self._fault(
                    f"{place}/studio",
                    f"{known.name} is at {stands.name}, and a class does not move:"
                    " a new one needs a name of its own",
                )
            minutes = entry.get("minutes", known.minutes)
            if starts_at and starts_at.hour * 60 + starts_at.minute + minutes > MINUTES_A_DAY:
                self._fault(f"{place}/minutes", "ends after midnight")
            if studio and starts_at:
                fields = {
                    "studio_id": studio.id,
                    "weekday": WEEKDAYS.index(entry["weekday"]),
                    "starts_at": starts_at,
                    "minutes": minutes,
                }
                yield self._item("class", self._classes, folded(name), fields, name=name)

    def _fault(self, place, message):
        self.faults.append(Fault(place, message))

    def _entries(self, section):
        """Place, name and entry of each in a section; a name that stands there twice is a fault."""
        seen: dict[str, str] = {}
        for index, entry in enumerate(self._document.get(section, ())):
            place, name = f"/{section}/{index}", _plain(entry["name"])
            if seen.setdefault(folded(name), place) == place:
                yield place, name, entry
            else:
                self._fault(f"{place}/name", f"the same as {seen[folded(name)]}/name")

    def _item(self, kind, stored, key, fields, *, name=None):
        """The stored row of a key, or a new one, with what the file says of it."""
        row = stored.get(key)
        is_new = row is None
        if is_new:
            row = stored[key] = MODELS[kind](school_id=self._school_id)
            fields = {"name": name, **fields}
        columns = tuple(
            field for field, value in fields.items() if is_new or getattr(row, field) != value
        )
        for field in columns:
            setattr(row, field, fields[field])
        return _Item(kind, row, is_new, columns)

    def _studio(self, place, entry):
        """The studio that an entry names, if it names one."""
        if "studio" not in entry:
            return None
        studio = self._studios.get(folded(_plain(entry["studio"])))
        if studio is None:
            hint = close_to(entry["studio"], [row.name for row in self._studios.values()])
            self._fault(f"{place}/studio", f"no studio is called “{entry['studio']}”{hint}")
        return studio

    def _days(self, place, entry):
        """First and last day as columns; nothing where one of them is wrong."""
        first, last = (self._day(f"{place}/{key}", entry[key]) for key in ("first", "last"))
        if first is None or last is None:
            return {}
        if last < first:
            self._fault(f"{place}/last", f"{last} is before {first}")
            return {}
        return {"first_on": first, "last_on": last}

    def _day(self, place, text):
        day = _read(date.fromisoformat, text, DAY)
        if day is None:
            self._fault(place, f"“{text}” should be a date such as 2026-09-01")
        elif abs(day.year - self._on.year) > FARTHEST_YEARS:
            self._fault(place, f"{day} is more than {FARTHEST_YEARS} years from now")
            return None
        return day

    def _time(self, place, text):
        value = _read(time.fromisoformat, text, TIME)
        if value is None:
            self._fault(place, f"“{text}” should be a time such as 17:00")
        return value


def _read(read, text, pattern):
    """A text of one form by a reader, or None; the readers themselves take many forms."""
    try:
        return read(text) if pattern.fullmatch(text) else None
    except ValueError:
        return None


def _plain(text):
    return unicodedata.normalize("NFC", text.strip())
