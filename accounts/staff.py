"""Staff: who is there on a date, at which studios, and what each may spot."""

import unicodedata
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Prefetch, Q

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.models import HEAD_TEACHER, Member, MemberStudio, School, Studio, Token
from accounts.names import alphabetical, close_to, composed, folded
from accounts.scope import Conflict, Scope, Unknown, day_ends, days_now
from accounts.staff_rows import COLUMNS, WITHOUT_A_HEAD, Entry, check, keeps_a_head, read
from accounts.tables import match, read_grid

LONGEST_NAME = 80
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


@dataclass(frozen=True)
class MemberView:
    """One of the staff with the days of her access, whether it holds, ended or was taken away."""

    id: UUID
    name: str
    role: str
    adult: bool
    may_spot: tuple[str, ...]
    studio_ids: tuple[UUID, ...]
    from_date: date | None
    until: date | None
    revoked_at: datetime | None


@dataclass(frozen=True)
class Myself:
    """Who asks, and her school; with `one_studio` nobody needs to meet the word."""

    school_id: UUID
    school_name: str
    one_studio: bool
    member: MemberView


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


# -- who is there --------------------------------------------------------------------------------


def staff(scope: Scope, *, on: date) -> dict[str, Colleague]:
    """This will list by name the staff whose access holds on a date, and to the end of it.

    A head teacher sees all of the school; others see the head teachers, themselves and whoever
    shares a studio with them.
    """
    rows = Member.objects.filter(
        Q(from_date__isnull=True) | Q(from_date__lte=on),
        Q(until__isnull=True) | Q(until__gte=on),
        # By the date in UTC it may be a day sooner or later than where they work.
        Q(revoked_at__isnull=True) | Q(revoked_at__date__gte=on),
        school_id=scope.school_id,
    ).prefetch_related(PLACES)
    if any(row.revoked_at for row in rows):
        ends = day_ends(scope, on=on)
        rows = [row for row in rows if row.revoked_at is None or row.revoked_at >= ends]
    return {
        row.name: Colleague(
            id=row.id,
            name=row.name,
            role=row.role,
            adult=row.adult,
            may_spot=frozenset(row.may_spot),
            studio_ids=_shared(scope, row),
        )
        for row in sorted(rows, key=lambda row: alphabetical(row.name))
        if _in_sight(scope, row)
    }


def members(scope: Scope, *, at: datetime) -> tuple[MemberView, ...]:
    """This will list by name herself and the staff of today, where they work; for a head teacher
    also those whose access has not begun, has ended or was taken away.
    """
    rows = _listed(scope, at)
    return tuple(_view(scope, row) for row in sorted(rows, key=lambda row: alphabetical(row.name)))


def member(scope: Scope, *, member_id: UUID, at: datetime) -> MemberView:
    """This will find one of those whom `members` lists. Raises `Unknown`."""
    row = _listed(scope, at).filter(id=member_id).first()
    if row is None:
        raise Unknown("nobody of that id is on the staff")
    return _view(scope, row)


def _listed(scope, at):
    rows = Member.objects.filter(school_id=scope.school_id).prefetch_related(PLACES)
    if scope.is_head:
        return rows
    present = {scope.member_id}
    for on in days_now(scope, at=at):
        present |= {one.id for one in staff(scope, on=on).values()}
    return rows.filter(id__in=present, revoked_at__isnull=True)


def myself(scope: Scope, *, at: datetime) -> Myself:
    """This will tell who asks."""
    school = School.objects.get(id=scope.school_id)
    return Myself(
        school_id=school.id,
        school_name=school.name,
        one_studio=Studio.objects.filter(school=school).count() < 2,
        member=member(scope, member_id=scope.member_id, at=at),
    )


def member_named(scope: Scope, *, name: str, at: datetime) -> MemberView:
    """This will find one of those whom `members` lists by her name, whatever the case.

    Raises `Unknown` with the names that come close.
    """
    known = members(scope, at=at)
    for found in known:
        if folded(found.name) == folded(name):
            return found
    hint = close_to(name, [found.name for found in known])
    raise Unknown(f"nobody on the staff is called “{name}”{hint}")


def _shared(scope, row):
    """Her studios that whoever asks may see; a head teacher's role holds at each of them."""
    if row.role == HEAD_TEACHER:
        return scope.studio_ids
    return scope.studio_ids & {place.studio_id for place in row.studios.all()}


def _in_sight(scope, row):
    return bool(
        scope.is_head
        or row.role == HEAD_TEACHER
        or row.id == scope.member_id
        or _shared(scope, row)
    )


def _view(scope, row):
    return MemberView(
        id=row.id,
        name=row.name,
        role=row.role,
        adult=row.adult,
        may_spot=tuple(row.may_spot),
        studio_ids=tuple(sorted(_shared(scope, row))),
        from_date=row.from_date,
        until=row.until,
        revoked_at=row.revoked_at,
    )


# -- who becomes what ----------------------------------------------------------------------------


def load(scope: Scope, *, content: bytes, at: datetime, dry_run: bool = False) -> Loaded:
    """This will load a table of staff: whoever is new is added, whoever is known becomes what her
    row says. What the file has no column for stays.

    Raises `NotAllowed` and, with every fault at once, `BadDocument`.
    """
    scope.need_head("loading the staff")
    table = match(read_grid(content), COLUMNS)
    with transaction.atomic():
        known = _known(scope)
        entries = read(table, known, _studios(scope), on=at.date())
        new, changed = [], []
        for key, entry in entries.items():
            row = known.get(key)
            if row is None:
                new.append(entry.name)
            elif _differences(row, entry):
                changed.append(row.name)
            else:
                continue
            if not dry_run:
                _store(scope, row, entry, at=at)
    absent = [row.name for key, row in known.items() if key not in entries]
    return Loaded(
        mapping=table.say_mapping(),
        new=tuple(new),
        changed=tuple(changed),
        standing=len(entries) - len(new) - len(changed),
        absent=tuple(sorted(absent, key=alphabetical)),
    )


def appoint(scope: Scope, *, name: str, said: Mapping[str, object], at: datetime) -> MemberView:
    """This will take somebody on; `said` are columns of a member, and `studios` by their ids.

    Raises `NotAllowed` and, with every fault at once, `BadDocument`.
    """
    scope.need_head("taking on staff")
    name = composed(name)
    with transaction.atomic():
        faults: list[Fault] = []
        if folded(name) in _known(scope):
            faults.append(Fault("/name", "another of the staff is called so"))
        if len(name) > LONGEST_NAME:
            faults.append(Fault("/name", f"longer than {LONGEST_NAME} characters"))
        if any(unicodedata.category(letter) == "Cc" for letter in name):
            faults.append(Fault("/name", "holds a control character"))
        entry = _checked(scope, None, name, said, faults)
        row = _store(scope, None, entry, at=at)
    return member(scope, member_id=row.id, at=at)


def change(
    scope: Scope, *, member_id: UUID, said: Mapping[str, object], at: datetime
) -> MemberView:
    """This will change what is said of one of the staff, and leave the rest.

    Raises `Unknown`, `NotAllowed`, `Conflict` where no head teacher would remain or her access was
    taken away, and, with every fault at once, `BadDocument`.
    """
    standing = member(scope, member_id=member_id, at=at)
    scope.need_head("changing staff")
    with transaction.atomic():
        known = _known(scope)
        row = known[folded(standing.name)]
        if row.revoked_at:
            raise Conflict(f"the access of {row.name} was taken away; nothing gives it back")
        entry = _checked(scope, row, row.name, said, [])
        if not keeps_a_head(known, {folded(row.name): entry}, on=at.date()):
            raise Conflict(WITHOUT_A_HEAD)
        if _differences(row, entry):
            _store(scope, row, entry, at=at)
    return member(scope, member_id=member_id, at=at)


def revoke(scope: Scope, *, member_id: UUID, at: datetime) -> MemberView:
    """This will take somebody's access away for good; her tokens end at once.

    A second time changes nothing. Raises `Unknown`, `NotAllowed`, and `Conflict` where no head
    teacher would remain.
    """
    standing = member(scope, member_id=member_id, at=at)
    scope.need_head("taking access away")
    with transaction.atomic():
        known = _known(scope)
        row = known.pop(folded(standing.name))
        if row.revoked_at is None:
            if not keeps_a_head(known, {}, on=at.date()):
                raise Conflict(WITHOUT_A_HEAD)
            row.revoked_at = at
            row.save(update_fields=["revoked_at"])
            Token.objects.filter(school_id=scope.school_id, member=row).delete()
            record(scope, what="revoke_member", at=at, about=row.id)
    # Whoever took away her own access asks for the last time here.
    return _view(scope, row)


def _known(scope):
    """All rows of the school by folded name, locked against a second head teacher at the desk."""
    list(School.objects.select_for_update(no_key=True).filter(id=scope.school_id))
    rows = Member.objects.filter(school_id=scope.school_id).prefetch_related(PLACES)
    return {folded(row.name): row for row in rows}


def _studios(scope):
    rows = Studio.objects.filter(school_id=scope.school_id, id__in=scope.studio_ids)
    return {folded(name): (name, id_) for name, id_ in rows.values_list("name", "id")}


def _checked(scope, row, name, said, faults):
    """What is said as an entry. Raises `BadDocument` with these faults and all others."""
    fields = dict(said)
    studios = fields.pop("studios", None)
    if studios is not None:
        faults += _unknown(scope, studios)
    if "may_spot" in fields:
        fields["may_spot"] = sorted(set(fields["may_spot"]))
    entry = Entry(name, fields, None if studios is None else frozenset(studios))
    check(entry, row, lambda column, message: faults.append(Fault(f"/{column}", message)))
    if faults:
        raise BadDocument(faults)
    return entry


def _unknown(scope, studios: Collection[UUID]):
    return [
        Fault(f"/studios/{place}", "unknown")
        for place, studio_id in enumerate(studios)
        if studio_id not in scope.studio_ids
    ]


def _differences(row, entry):
    """The columns in which an entry differs from what stands."""
    columns = [field for field, value in entry.fields.items() if getattr(row, field) != value]
    standing = {place.studio_id for place in row.studios.all()}
    if entry.studio_ids is not None and entry.studio_ids != standing:
        columns.append("studios")
    return columns


def _store(scope, row, entry, *, at):
    if row is None:
        columns = [*entry.fields, "studios"]
        what = "add_member"
        row = Member(school_id=scope.school_id, name=entry.name, **entry.fields)
        row.save(force_insert=True)
    else:
        columns = _differences(row, entry)
        what = "change_member"
        for field, value in entry.fields.items():
            setattr(row, field, value)
        # What a way to sign in has changed meanwhile is left as it is.
        row.save(update_fields=entry.fields)
    if "studios" in columns:
        places = MemberStudio.objects.filter(
            school_id=scope.school_id, member=row, ended_at__isnull=True
        )
        standing = set(places.values_list("studio_id", flat=True))
        said = entry.studio_ids or frozenset()
        places.exclude(studio_id__in=said).update(ended_at=at)
        MemberStudio.objects.bulk_create(
            MemberStudio(school_id=scope.school_id, member=row, studio_id=studio_id)
            for studio_id in sorted(said - standing)
        )
    record(scope, what=what, at=at, about=row.id, columns=columns)
    return row
