"""What is said of one of the staff, in a row of a table or by itself, and what of it is wrong."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from accounts.faults import BadDocument, Fault
from accounts.models import ASSISTANT, HEAD_TEACHER, STAFF_ROLES, TEACHER, Member
from accounts.names import close_to, folded
from accounts.tables import Cells, Column, Table

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
WITHOUT_A_HEAD = "would leave the school without a head teacher"


@dataclass(frozen=True)
class Entry:
    """What is said of a member; only what is spoken of at all."""

    name: str
    fields: Mapping[str, object]
    studio_ids: frozenset[UUID] | None


def read(
    table: Table,
    known: Mapping[str, Member],
    studios: Mapping[str, tuple[str, UUID]],
    *,
    on: date,
) -> dict[str, Entry]:
    """The rows by folded name. `studios` are name and id by folded name. Raises `BadDocument`."""
    faults: list[Fault] = []
    entries: dict[str, Entry] = {}
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
    if not faults and not keeps_a_head(known, entries, on=on):
        faults.append(Fault("the file", WITHOUT_A_HEAD))
    if faults:
        raise BadDocument(faults)
    return entries


def _entry(cells, known, studios):
    name = cells.text("name", required=True)
    member = known.get(folded(name)) if name else None
    said = {
        "role": cells.choice("role", STAFF_ROLES, required=True),
        "adult": cells.flag("adult", required=True),
    }
    if cells.has("may_spot"):
        said["may_spot"] = _may_spot(cells)
    for column, field in (("from", "from_date"), ("until", "until")):
        if cells.has(column):
            said[field] = cells.day(column)
    studio_ids = _studio_ids(cells, studios) if cells.has("studios") else None
    if member and member.revoked_at:
        cells.fault("name", f"the access of {member.name} was taken away; no file gives it back")
    entry = Entry(name, said, studio_ids)
    # Studios that were named and are not known have their fault already.
    check(entry, member, cells.fault, placed=bool(cells.row.texts.get("studios")))
    return entry


def check(
    entry: Entry, member: Member | None, fault: Callable[[str, str], None], *, placed: bool = False
) -> None:
    """This will tell `fault` each column that does not go with the others, and with what stands."""

    def of(field, default=None):
        return entry.fields.get(field, getattr(member, field, default))

    role, adult, keys = of("role"), of("adult"), of("may_spot", [])
    if adult is False and role in (HEAD_TEACHER, TEACHER):
        fault("adult", f"a {role.replace('_', ' ')} should be an adult")
    if adult is False and keys:
        fault("may_spot", "only adults spot")
    if EVERYTHING in keys and len(keys) > 1:
        fault("may_spot", f"{EVERYTHING} stands alone")
    start, end = of("from_date"), of("until")
    if start and end and end < start:
        fault("until", f"{end} is before {start}")
    has_studios = entry.studio_ids or (entry.studio_ids is None and member and member.studios.all())
    if role in (TEACHER, ASSISTANT) and not has_studios and not placed:
        fault("studios", f"missing: at which studios does the role of {role} hold?")


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
    return keys


def keeps_a_head(known: Mapping[str, Member], entries: Mapping[str, Entry], *, on: date) -> bool:
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
