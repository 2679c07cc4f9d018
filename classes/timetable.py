"""Studios, terms, closures and weekly classes: one by one, or with the policy as one file."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Literal
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from accounts import policy
from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.models import UNITS
from accounts.names import alphabetical, folded
from accounts.scope import Conflict, Scope, Unknown
from classes import lessons
from classes.classes import ClassView, enrolled, view
from classes.fact_files import one_writer
from classes.models import Class, Lesson
from classes.models.lessons import CANCELLED
from classes.named import WEEKDAYS
from classes.timetable_entries import CLASS, CLOSURE, MODELS, SECTIONS, STUDIO, TERM, Entries, Item
from curriculum import editions
from curriculum.documents import read_yaml, schema_faults

SCHEMA = Path(__file__).parent / "schemas" / "classes.schema.json"
STUDIO_UNITS = UNITS
A_DAY = timedelta(days=1)


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
class StudioView:
    """A place where the school teaches; `zone` is an IANA time zone."""

    id: UUID
    name: str
    zone: str
    units: str
    mats: int


@dataclass(frozen=True)
class TermView:
    """The first and the last day of a term."""

    id: UUID
    name: str
    first_on: date
    last_on: date


@dataclass(frozen=True)
class ClosureView:
    """Days without lessons, at one studio or (None) everywhere."""

    id: UUID
    name: str
    first_on: date
    last_on: date
    studio_id: UUID | None


# -- what there is -------------------------------------------------------------------------------


def studios(scope: Scope) -> tuple[StudioView, ...]:
    """This will list the studios in scope by name."""
    rows = sorted(_seen(scope, STUDIO), key=lambda row: alphabetical(row.name))
    return tuple(_view(STUDIO, row) for row in rows)


def terms(scope: Scope) -> tuple[TermView, ...]:
    """This will list the terms in their order."""
    return tuple(_view(TERM, row) for row in _seen(scope, TERM).order_by("first_on", "id"))


def closures(scope: Scope) -> tuple[ClosureView, ...]:
    """This will list the closures that concern a studio in scope, by their first day."""
    return tuple(_view(CLOSURE, row) for row in _seen(scope, CLOSURE).order_by("first_on", "id"))


def find(
    scope: Scope, *, kind: str, row_id: UUID
) -> StudioView | TermView | ClosureView | ClassView:
    """This will find one studio, term, closure or class in scope. Raises `Unknown`."""
    row = _seen(scope, kind).filter(id=row_id).first()
    if row is None:
        raise Unknown(f"no such {kind}")
    return _view(kind, row)


def _seen(scope, kind):
    rows = MODELS[kind].objects.filter(school_id=scope.school_id)
    here = Q(studio_id__in=scope.studio_ids)
    seen = {
        STUDIO: Q(id__in=scope.studio_ids),
        TERM: Q(),
        CLOSURE: here | Q(studio_id__isnull=True),
        CLASS: here,
    }
    return rows.filter(seen[kind])


def _view(kind, row):
    if kind == CLASS:
        return view(row)
    shape = {STUDIO: StudioView, TERM: TermView, CLOSURE: ClosureView}[kind]
    return shape(**{name: getattr(row, name) for name in shape.__dataclass_fields__})


# -- one by one ----------------------------------------------------------------------------------


def add(
    scope: Scope, *, kind: str, said: Mapping[str, object], at: datetime
) -> StudioView | TermView | ClosureView | ClassView:
    """This will add a studio, term, closure or class; `said` is what an entry of the file says,
    days as such and a studio by its id.

    Raises `NotAllowed` and, with every fault at once, `BadDocument`.
    """
    scope.need_head(f"adding a {kind}")
    with transaction.atomic():
        one_writer(scope)
        item = _read_one(scope, kind, said, at=at)
        _store_all(scope, [item], at=at)
    return _view(kind, item.row)


def change(
    scope: Scope,
    *,
    kind: str,
    row_id: UUID,
    said: Mapping[str, object],
    at: datetime,
    confirmed: bool = False,
) -> StudioView | TermView | ClosureView | ClassView:
    """This will change what is said of one of them, and leave the rest. A class ends once it is
    `confirmed` that what goes with it goes too.

    Raises `Unknown`, `NotAllowed`, `Conflict` with what goes with a class and, with every fault
    at once, `BadDocument`.
    """
    with transaction.atomic():
        one_writer(scope)
        standing = find(scope, kind=kind, row_id=row_id)
        scope.need_head(f"changing a {kind}")
        entry = {**_entry(kind, standing), **said}
        item = _read_one(scope, kind, entry, at=at, about=row_id)
        if kind == CLASS and "until" in item.columns and item.row.until and not confirmed:
            _ask_what_goes(scope, item.row)
        _store_all(scope, [item], at=at)
    return _view(kind, item.row)


def remove(scope: Scope, *, kind: Literal["term", "closure"], row_id: UUID, at: datetime) -> None:
    """This will take a term or a closure out again. Raises `Unknown`, `NotAllowed`."""
    with transaction.atomic():
        one_writer(scope)
        find(scope, kind=kind, row_id=row_id)
        scope.need_head(f"removing a {kind}")
        row = _seen(scope, kind).get(id=row_id)
        _store_all(scope, [Item(kind, row, is_new=False, columns=(), remove=True)], at=at)


def _entry(kind, standing):
    """What stands as an entry of the file would say it."""
    if kind == STUDIO:
        names = {name: name for name in ("name", "zone", "units", "mats")}
    elif kind == CLASS:
        names = {"name": "name", "starts": "starts_at", "minutes": "minutes", "until": "until"}
        names |= {"studio": "studio_id"}
    else:
        names = {"name": "name", "first": "first_on", "last": "last_on"}
        names |= {"studio": "studio_id"} if kind == CLOSURE else {}
    entry = {said: getattr(standing, name) for said, name in names.items()}
    return entry | ({"weekday": WEEKDAYS[standing.weekday]} if kind == CLASS else {})


def _read_one(scope, kind, entry, *, at, about=None):
    """One entry as the file's are read; the pointers begin at the entry. Raises `BadDocument`."""
    entries = Entries(scope, {SECTIONS[kind]: [entry]}, at=at, about=about)
    items = entries.items()
    start = f"/{SECTIONS[kind]}/0"
    faults = [
        Fault(fault.place.removeprefix(start) or "/first", fault.message)
        for fault in entries.faults
    ]
    faults += [fault for item in items for fault in _taken(scope, item, about)]
    if faults:
        raise BadDocument(faults)
    return items[0]


def _ask_what_goes(scope, row):
    """What a class takes with it when it ends. Raises `Conflict` unless it is nothing."""
    after = row.until + A_DAY
    places = enrolled(scope, class_id=row.id, on=after)
    stored = Lesson.objects.filter(school_id=scope.school_id, group_class=row, on__gte=after)
    days = [f"{lesson.on}" for lesson in stored.exclude(state=CANCELLED).order_by("on")]
    goes = [f"the places in it end ({len(places)})"] if places else []
    goes += [f"what is prepared for {', '.join(days)} is not used"] if days else []
    if goes:
        raise Conflict(f"After {row.until} {row.name} does not meet: {', and '.join(goes)}.")


def _taken(scope, item, about):
    """What another one stands for already."""
    others = MODELS[item.kind].objects.filter(school_id=scope.school_id).exclude(id=about)
    if item.kind == CLOSURE:
        same = others.filter(studio_id=item.row.studio_id, first_on=item.row.first_on)
        return [Fault("/first", "another closure begins on that day")] if same.exists() else []
    if folded(item.row.name) not in map(folded, others.values_list("name", flat=True)):
        return []
    return [Fault("/name", f"another {item.kind} is called so")]


# -- as one file ---------------------------------------------------------------------------------


def load(
    scope: Scope,
    *,
    content: bytes,
    at: datetime,
    confirmed: bool = False,
    dry_run: bool = False,
) -> Loaded:
    """This will load a file of the format classes/1; what it does not name stays as it is.

    `confirmed` as in `policy.change`. Raises `NotAllowed`, `Conflict` and, with every fault at
    once, `BadDocument`.
    """
    scope.need_head("loading classes")
    document = read_yaml(content)
    faults = schema_faults(document, schema=SCHEMA)
    if faults:
        raise BadDocument(faults)
    rules = document.get("policy", {})
    with transaction.atomic():
        one_writer(scope)
        entries = Entries(scope, document, at=at)
        items = entries.items()
        if entries.faults:
            raise BadDocument(entries.faults)
        columns = policy.change(scope, said=rules, at=at, confirmed=confirmed, dry_run=dry_run)
        adopted, moved = ((), 0) if dry_run else _store_all(scope, items, at=at)
    changed = [item.label for item in items if not item.is_new and (item.columns or item.remove)]
    new = [item.label for item in items if item.is_new]
    return Loaded(
        new=tuple(new),
        changed=(*(f"policy {column}" for column in columns), *changed),
        standing=len(items) + len(rules) - len(new) - len(changed) - len(columns),
        adopted=adopted,
        lessons=moved,
    )


def _store_all(scope, items, *, at):
    """Store entries; which studios begin with the newest edition, and how many lessons moved."""
    were = dict(Class.objects.filter(school_id=scope.school_id).values_list("id", "minutes"))
    for item in items:
        _store(scope, item, at=at)
    moved = _move_lessons(scope, items, were=were, at=at)
    added = {item.row.id for item in items if item.is_new and item.kind == STUDIO}
    grown = replace(scope, studio_ids=scope.studio_ids | added)
    return editions.adopt_first(grown, at=at), moved


def _store(scope, item, *, at):
    if item.remove:
        record(scope, what=f"remove_{item.kind}", at=at, about=item.row.id)
        item.row.delete()
    elif item.columns:
        what = f"{'add' if item.is_new else 'change'}_{item.kind}"
        item.row.save(force_insert=item.is_new)
        record(scope, what=what, at=at, about=item.row.id, columns=list(item.columns))


def _move_lessons(scope, items, *, were, at):
    """Coming lessons follow their class, and the zone of their studio."""
    ids = {item.row.id for item in items if item.columns and not item.is_new}
    rows = Class.objects.select_related("studio").filter(school_id=scope.school_id)
    moved = [view(row) for row in rows if ids & {row.id, row.studio_id}]
    return lessons.derive_again(scope, classes=moved, were=were, at=at)
