"""Staff: who is there on a date, at which studios, and what each may spot."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Prefetch, Q

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.models import (
    ASSISTANT,
    HEAD_TEACHER,
    STAFF_ROLES,
    TEACHER,
    Member,
    MemberStudio,
    Studio,
)
from accounts.names import alphabetical, close_to, folded
from accounts.scope import Scope
from accounts.tables import Cells, Column, match, read_grid

EVERYTHING = "all"  # in may_spot: every family
COLUMNS = (
    Column("name", required=True),
    Column("role", required=True),
    Column("adult", required=True),
    Column("studios", also=("studio",)),
    Column("may_spot", also=("spots",)),
    Column("from", also=("from_date",)),
    Column("until"),
)
BETWEEN = "|"  # several names in one cell
FAMILY_KEY = re.compile(r"[a-z][a-z0-9_]*")
LONGEST_LIST = 600
PLACES = Prefetch("studios", MemberStudio.objects.filter(ended_at__isnull=True))


@dataclass(frozen=True)
class Colleague:
    """One of the staff. `may_spot` holds family keys, or the single entry “all”.

    `studio_ids` are those of her studios that whoever asks may see.
    """

    id: UUID
    name: str
    role: str
    adult: bool
    may_spot: frozenset[str]
    studio_ids: frozenset[UUID]


def staff(scope: Scope, *, on: date) -> dict[str, Colleague]:
    """This will list by name the staff whose access holds on a date.

    A head teacher sees all of the school; others see the head teachers, themselves and whoever
    shares a studio with them.
    """
    rows = Member.objects.filter(
        Q(from_date__isnull=True) | Q(from_date__lte=on),
        Q(until__isnull=True) | Q(until__gte=on),
        Q(revoked_at__isnull=True) | Q(revoked_at__date__gt=on),
        school_id=scope.school_id,
    ).prefetch_related(PLACES)
    found = {}
    for row in sorted(rows, key=lambda row: alphabetical(row.name)):
        studio_ids = scope.studio_ids
        if row.role != HEAD_TEACHER:
            studio_ids &= {place.studio_id for place in row.studios.all()}
        if studio_ids or scope.is_head or scope.member_id == row.id or row.role == HEAD_TEACHER:
            found[row.name] = Colleague(
                id=row.id,
                name=row.name,
                role=row.role,
                adult=row.adult,
                may_spot=frozenset(row.may_spot),
                studio_ids=studio_ids,
            )
    return found


@dataclass(frozen=True)
class Loaded:
    """What a staff file did, or in a dry run would do; names, and how many stand already.

    `mapping` is one line that says how the headers were understood, `absent` are the staff whom
    the file does not name: they are left as they are.
    """

    mapping: str
    new: tuple[str, ...]
    changed: tuple[str, ...]
    standing: int
    absent: tuple[str, ...]


@dataclass(frozen=True)
class _Entry:
    """One row: what it says of a member; only what the file has a column for."""

    name: str
    fields: Mapping[str, object]
    studio_ids: frozenset[UUID] | None


def load(scope: Scope, *, content: bytes, at: datetime, dry_run: bool = False) -> Loaded:
    """This will load a table of staff: whoever is new is added, whoever is known becomes what her
    row says. What the file has no column for stays.

    Raises `NotAllowed` and, with every fault at once, `BadDocument`.
    """
    scope.need_head("loading the staff")
    table = match(read_grid(content), COLUMNS)
    with transaction.atomic():
        known = {
            folded(member.name): member
            for member in Member.objects.filter(school_id=scope.school_id).prefetch_related(PLACES)
        }
        entries = _read(table, known, _studios(scope), on=at.date())
        new, changed = [], []
        for key, entry in entries.items():
            member = known.get(key)
            if member is None:
                new.append(entry.name)
            elif _differences(member, entry):
                changed.append(member.name)
            else:
                continue
            if not dry_run:
                _store(scope, member, entry, at=at)
    absent = [member.name for key, member in known.items() if key not in entries]
    return Loaded(
        mapping=table.say_mapping(),
        new=tuple(new),
        changed=tuple(changed),
        standing=len(entries) - len(new) - len(changed),
        absent=tuple(sorted(absent, key=alphabetical)),
    )


def _studios(scope):
    rows = Studio.objects.filter(school_id=scope.school_id, id__in=scope.studio_ids)
    return {folded(name): (name, id_) for name, id_ in rows.values_list("name", "id")}


def _read(table, known, studios, *, on):
    """The rows by folded name. Raises `BadDocument`."""
    faults: list[Fault] = []
    entries: dict[str, _Entry] = {}
    first: dict[str, int] = {}
    for row in table.rows:
        cells = Cells(row, faults)
        before = len(faults)
        entry = _entry(cells, known, studios)
        if len(faults) > before:
            continue
        key = folded(entry.name)
        if first.setdefault(key, row.number) != row.number:
            cells.fault("name", f"the same as in row {first[key]}")
        entries[key] = entry
    if not faults and not _keeps_a_head(known, entries, on):
        faults.append(Fault("the file", "would leave the school without a head teacher"))
    if faults:
        raise BadDocument(faults)
    return entries


def _entry(cells, known, studios):
    name = cells.text("name", required=True)
    member = known.get(folded(name)) if name else None
    role = cells.choice("role", STAFF_ROLES, required=True)
    adult = cells.flag("adult", required=True)
    said = {"role": role, "adult": adult}
    if cells.has("may_spot"):
        said["may_spot"] = _may_spot(cells)
    for column, field in (("from", "from_date"), ("until", "until")):
        if cells.has(column):
            said[field] = cells.day(column)
    studio_ids = _studio_ids(cells, studios) if cells.has("studios") else None

    if member and member.revoked_at:
        cells.fault("name", f"the access of {member.name} was taken away; no file gives it back")
    if adult is False and role in (HEAD_TEACHER, TEACHER):
        cells.fault("adult", f"a {role.replace('_', ' ')} should be an adult")
    may_spot = said.get("may_spot", member.may_spot if member else [])
    if adult is False and may_spot:
        cells.fault("may_spot", "only adults spot")
    start, end = (said.get(field, getattr(member, field, None)) for field in ("from_date", "until"))
    if start and end and end < start:
        cells.fault("until", f"{end} is before {start}")
    has_studios = studio_ids or (studio_ids is None and member and member.studios.all())
    if role in (TEACHER, ASSISTANT) and not has_studios and not cells.row.texts.get("studios"):
        cells.fault("studios", f"missing: at which studios does the role of {role} hold?")
    return _Entry(name, said, studio_ids)


def _names(cells, column):
    """The names in one cell; between them stands a bar, which no delimiter of a file breaks."""
    text = cells.text(column, longest=LONGEST_LIST) or ""
    return [name.strip() for name in text.split(BETWEEN) if name.strip()]


def _studio_ids(cells, studios):
    found = set()
    for name in _names(cells, "studios"):
        if folded(name) in studios:
            found.add(studios[folded(name)][1])
        else:
            hint = close_to(name, [known for known, _ in studios.values()])
            cells.fault("studios", f"no studio is called “{name}”{hint}")
    return frozenset(found)


def _may_spot(cells):
    keys = sorted({name.casefold() for name in _names(cells, "may_spot")})
    for key in keys:
        if not FAMILY_KEY.fullmatch(key):
            cells.fault("may_spot", f"“{key}” should be the key of a family, or {EVERYTHING}")
    if EVERYTHING in keys and len(keys) > 1:
        cells.fault("may_spot", f"{EVERYTHING} stands alone")
    return keys


def _keeps_a_head(known, entries, on):
    """Whether a head teacher remains whose access holds on a date and does not end by itself."""
    remain = {
        key: {field: getattr(member, field) for field in ("role", "from_date", "until")}
        for key, member in known.items()
        if member.revoked_at is None
    }
    for key, entry in entries.items():
        remain[key] = {"from_date": None, "until": None, **remain.get(key, {}), **entry.fields}
    return any(
        member["role"] == HEAD_TEACHER
        and member["until"] is None
        and (member["from_date"] or on) <= on
        for member in remain.values()
    )


def _differences(member, entry):
    """The columns in which a row differs from what stands."""
    columns = [field for field, value in entry.fields.items() if getattr(member, field) != value]
    standing = {place.studio_id for place in member.studios.all()}
    if entry.studio_ids is not None and entry.studio_ids != standing:
        columns.append("studios")
    return columns


def _store(scope, member, entry, *, at):
    if member is None:
        columns = [*entry.fields, "studios"]
        what = "add_member"
        member = Member(school_id=scope.school_id, name=entry.name)
    else:
        columns = _differences(member, entry)
        what = "change_member"
    for field, value in entry.fields.items():
        setattr(member, field, value)
    member.save()
    if "studios" in columns:
        places = MemberStudio.objects.filter(
            school_id=scope.school_id, member=member, ended_at__isnull=True
        )
        standing = set(places.values_list("studio_id", flat=True))
        said = entry.studio_ids or frozenset()
        places.exclude(studio_id__in=said).update(ended_at=at)
        MemberStudio.objects.bulk_create(
            MemberStudio(school_id=scope.school_id, member=member, studio_id=studio_id)
            for studio_id in sorted(said - standing)
        )
    record(scope, what=what, at=at, about=member.id, columns=columns)
