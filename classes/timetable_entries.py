"""Studios, terms, closures and weekly classes as they are written, beside what stands."""

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cache
from uuid import UUID
from zoneinfo import ZoneInfo, available_timezones

from django.db.models import Max, Model

from accounts.faults import FARTHEST_YEARS, Fault
from accounts.models import Studio
from accounts.names import close_to, composed, folded
from accounts.scope import Scope
from classes.models import Class, Closure, Enrolment, Term
from classes.named import WEEKDAYS

NO_PLACE = {"localtime", "Factory"}  # zones that mean something else on each machine, or nothing
DAY, TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}"), re.compile(r"[0-9]{2}:[0-9]{2}")
MINUTES_A_DAY = 24 * 60
LONGEST_NAME = 120
STUDIO, TERM, CLOSURE, CLASS = KINDS = ("studio", "term", "closure", "class")
SECTIONS = {STUDIO: "studios", TERM: "terms", CLOSURE: "closures", CLASS: "classes"}
MODELS = {STUDIO: Studio, TERM: Term, CLOSURE: Closure, CLASS: Class}


@cache
def _zones():
    """Looked for in hundreds of files once."""
    return available_timezones() - NO_PLACE


@dataclass(frozen=True)
class Item:
    """One entry as a row with its new values; `columns` are those that differ from what stands."""

    kind: str
    row: Model
    is_new: bool
    columns: tuple[str, ...]
    remove: bool = False

    @property
    def label(self) -> str:
        return f"{self.kind} {self.row.name}" + (" (taken out)" if self.remove else "")


class Entries:
    """The entries of a document beside what stands; what is wrong gathers in `faults`.

    An entry is about what stands under its name (a closure: under its studio and first day), or
    where `about` is given about that row, whatever it is called from now on. Days, and a studio
    by its id, may be given as such instead of as a text.
    """

    def __init__(
        self,
        scope: Scope,
        document: Mapping[str, Sequence[Mapping]],
        *,
        at: datetime,
        about: UUID | None = None,
    ) -> None:
        self.faults: list[Fault] = []
        self._document, self._at, self._about = document, at, about
        self._school_id, self._seen = scope.school_id, scope.studio_ids
        self._studios, self._terms, self._classes = (
            {folded(row.name): row for row in model.objects.filter(school_id=scope.school_id)}
            for model in (Studio, Term, Class)
        )
        self._closures = {
            (row.studio_id, row.first_on): row
            for row in Closure.objects.filter(school_id=scope.school_id)
        }

    def items(self) -> list[Item]:
        """This will read all entries, in an order in which each finds what it names."""
        return [
            *self._read_studios(),
            *self._read_terms(),
            *self._read_closures(),
            *self._read_classes(),
        ]

    def _read_studios(self) -> Iterator[Item]:
        zones = _zones()
        for place, name, entry in self._entries("studios"):
            if entry["zone"] not in zones:
                hint = close_to(entry["zone"], zones)
                self._fault(f"{place}/zone", f"no IANA time zone “{entry['zone']}”{hint}")
            fields = {key: value for key, value in entry.items() if key != "name"}
            yield self._item(STUDIO, self._studios, folded(name), fields, name=name)

    def _read_terms(self) -> Iterator[Item]:
        places: dict[UUID, str] = {}
        for place, name, entry in self._entries("terms"):
            days = self._days(place, entry)
            if not days:
                continue
            if entry.get("remove"):
                row = self._terms.pop(folded(name), None)
                if row is not None:
                    yield Item(TERM, row, is_new=False, columns=(), remove=True)
                continue
            item = self._item(TERM, self._terms, folded(name), days, name=name)
            places[item.row.id] = place
            yield item
        latest = None
        for term in sorted(self._terms.values(), key=lambda term: (term.first_on, term.name)):
            if latest and term.first_on <= latest.last_on and {term.id, latest.id} & places.keys():
                mine, other = (term, latest) if term.id in places else (latest, term)
                self._fault(places[mine.id], f"overlaps with the term {other.name}")
            if latest is None or term.last_on > latest.last_on:
                latest = term

    def _read_closures(self) -> Iterator[Item]:
        seen: dict[tuple, str] = {}
        for index, entry in enumerate(self._document.get("closures", ())):
            place = f"/closures/{index}"
            studio = self._studio(place, entry)
            days = self._days(place, entry)
            if not days or (studio is None and entry.get("studio") is not None):
                continue
            key = (studio and studio.id, days["first_on"])
            if seen.setdefault(key, place) != place:
                self._fault(place, f"begins on the same day as {seen[key]}")
                continue
            if not entry.get("remove"):
                name = self._name(place, entry)
                fields = {**days, "name": name, "studio_id": key[0]}
                yield self._item(CLOSURE, self._closures, key, fields)
            elif key in self._closures:
                row = self._closures[key]
                yield Item(CLOSURE, row, is_new=False, columns=(), remove=True)

    def _read_classes(self) -> Iterator[Item]:
        for place, name, entry in self._entries("classes"):
            studio = self._studio(place, entry)
            starts_at = self._time(f"{place}/starts", entry["starts"])
            known = self._standing(self._classes, folded(name)) or Class()
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
            until = self._until(place, entry, known, studio)
            if studio and starts_at:
                fields = {
                    "studio_id": studio.id,
                    "weekday": WEEKDAYS.index(entry["weekday"]),
                    "starts_at": starts_at,
                    "minutes": minutes,
                    "until": until,
                }
                yield self._item(CLASS, self._classes, folded(name), fields, name=name)

    def _until(self, place, entry, known, studio):
        """The last day of a class, which may be set and taken back until it is over."""
        said = entry.get("until", known.until)
        until = said and self._day(f"{place}/until", said)
        if until == known.until:
            return until
        begins = Enrolment.objects.filter(school_id=self._school_id, group_class_id=known.id)
        last = begins.aggregate(last=Max("from_date"))["last"]
        zone = studio.zone if studio and studio.zone in _zones() else "UTC"
        today = self._at.astimezone(ZoneInfo(zone)).date()
        if known.until and known.until < today:
            fault = f"it ended on {known.until}: one that begins again is a new class"
        elif until and until < today:
            fault = f"{until} is over: today, or a day to come"
        elif until and last and last > until:
            fault = f"a child's place in it begins on {last}"
        else:
            return until
        self._fault(f"{place}/until", fault)
        return until

    def _fault(self, place, message):
        self.faults.append(Fault(place, message))

    def _entries(self, section):
        """Place, name and entry of each in a section; a name that stands there twice is a fault."""
        seen: dict[str, str] = {}
        for index, entry in enumerate(self._document.get(section, ())):
            place = f"/{section}/{index}"
            name = self._name(place, entry)
            if seen.setdefault(folded(name), place) == place:
                yield place, name, entry
            else:
                self._fault(f"{place}/name", f"the same as {seen[folded(name)]}/name")

    def _name(self, place, entry):
        name = composed(entry["name"])
        # A composed text can be longer than the one that was measured before.
        if len(name) > LONGEST_NAME:
            self._fault(f"{place}/name", f"longer than {LONGEST_NAME} characters")
        if any(unicodedata.category(letter) == "Cc" for letter in name):
            self._fault(f"{place}/name", "holds a control character")
        return name

    def _standing(self, stored, key):
        """The row that an entry is about, if there is one."""
        if self._about is None:
            return stored.get(key)
        return next(row for row in stored.values() if row.id == self._about)

    def _item(self, kind, stored, key, fields, *, name=None):
        """The stored row of a key, or a new one, with what is said of it."""
        row = self._standing(stored, key)
        is_new = row is None
        if is_new:
            row = stored[key] = MODELS[kind](school_id=self._school_id)
        if name is not None and (is_new or self._about):
            fields = {"name": name, **fields}
        columns = tuple(
            field for field, value in fields.items() if is_new or getattr(row, field) != value
        )
        for field in columns:
            setattr(row, field, fields[field])
        return Item(kind, row, is_new, columns)

    def _studio(self, place, entry):
        """The studio that an entry names, if it names one."""
        said = entry.get("studio")
        if said is None:
            return None
        if isinstance(said, UUID):
            found = [row for row in self._studios.values() if row.id == said in self._seen]
            if not found:
                self._fault(f"{place}/studio", "unknown")
            return found[0] if found else None
        studio = self._studios.get(folded(composed(said)))
        if studio is None:
            hint = close_to(said, [row.name for row in self._studios.values()])
            self._fault(f"{place}/studio", f"no studio is called “{said}”{hint}")
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

    def _day(self, place, said):
        day = said if isinstance(said, date) else _read(date.fromisoformat, said, DAY)
        if day is None:
            self._fault(place, f"“{said}” should be a date such as 2026-09-01")
        elif abs(day.year - self._at.year) > FARTHEST_YEARS:
            self._fault(place, f"{day} is more than {FARTHEST_YEARS} years from now")
            return None
        return day

    def _time(self, place, said):
        value = said if isinstance(said, time) else _read(time.fromisoformat, said, TIME)
        if value is None:
            self._fault(place, f"“{said}” should be a time such as 17:00")
        return value


def _read(read, text, pattern):
    """A text of one form by a reader, or None; the readers themselves take many forms."""
    try:
        return read(text) if pattern.fullmatch(text) else None
    except ValueError:
        return None
