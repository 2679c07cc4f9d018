"""A teacher's yes: to begin, to go without a spot, to show; one child, one skill, one role."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Q

from accounts.events import record
from accounts.policy import policy
from accounts.scope import Scope, Unknown, days_now
from accounts.tables import Cells, Column
from classes import lessons
from classes.attendance import days_here
from classes.classes import ClassView, find
from classes.fact_files import Lines, Loaded, one_writer
from classes.given import Given, need_today
from classes.models import Class, Enrolment, Fall, Yes
from classes.models.children import YES_KINDS
from classes.named import Named
from classes.students import visible
from curriculum import editions
from curriculum.editions import EditionInUse
from curriculum.models import Adoption, Card

COLUMNS = (
    Column("student", also=("child",), required=True),
    Column("skill", required=True),
    Column("role", required=True),
    Column("kind", also=("yes to",), required=True),
    Column("given_on", also=("date",), required=True),
    Column("tonight"),
    Column("by", also=("given_by", "teacher")),
)


@dataclass(frozen=True)
class Listed:
    """One yes; `skill` is a key, `by` who gave it, `ran_out` why it does not hold, in words."""

    id: UUID
    student: UUID
    skill: str
    role: str
    kind: str
    given_on: date
    lesson: UUID | None
    by: str
    ran_out: str | None


def load(
    scope: Scope,
    *,
    content: bytes,
    at: datetime,
    klass: ClassView | None = None,
    dry_run: bool = False,
) -> Loaded:
    """This will load a table of yeses; an empty `by` means whoever loads it.

    Where `tonight` says yes it holds for that evening's lesson of `klass` only.
    Raises `BadDocument`, `NotAllowed`.
    """
    scope.need_teacher("loading yeses")
    with transaction.atomic():
        lines = Lines.of_file(content, COLUMNS)
        named = Named(scope, on=max(days_now(scope, at=at)), klass=klass)
        return _enter(scope, lines, named, at=at, dry_run=dry_run).counts()


def give(
    scope: Scope,
    *,
    student_id: UUID,
    skill_id: UUID,
    role: str,
    kind: str,
    lesson_id: UUID | None,
    on: date,
    at: datetime,
) -> UUID:
    """This will give one yes on a day, with a lesson for that evening only; the id of the yes.

    What was given already stands. Raises `NotAllowed`, and `BadDocument` with pointers to
    `/student`, `/skill`, `/role`, `/kind`, `/lesson` and `/given_on`.
    """
    row = {"student": student_id, "skill": skill_id, "role": role, "kind": kind}
    return _give(scope, [row | {"lesson": lesson_id, "given_on": on}], at=at, place="")[0]


def give_all(
    scope: Scope, *, rows: Sequence[Mapping[str, object]], at: datetime
) -> tuple[UUID, ...]:
    """This will give many yeses, all or none: the ids in the order of the rows.

    A row holds student, skill (key or id), role, kind, given_on and, or None, lesson.
    Raises `NotAllowed`, and `BadDocument` with pointers such as `/rows/3/student`.
    """
    return _give(scope, rows, at=at, place="/rows/{}")


def _give(scope, rows, *, at, place):
    scope.need_teacher("giving a yes")
    with transaction.atomic():
        lines = Lines.of_form(rows, place=place)
        given = Given(scope, rows=rows, on=max(days_now(scope, at=at)))
        facts = _enter(scope, lines, given, at=at)
    return tuple(row.id for row in facts.rows)


def _enter(scope, lines, named, *, at, dry_run=False):
    def parse(cells: Cells) -> Yes:
        given_on = named.day(cells, "given_on", required=True)
        student_id, skill = named.student(cells), named.skill(cells, on=given_on)
        role = named.role(cells, skill)
        kind = cells.choice("kind", YES_KINDS, required=True)
        return Yes(
            school_id=scope.school_id,
            student_id=student_id,
            skill_id=skill and skill.id,
            role=role,
            kind=kind,
            given_on=given_on,
            lesson_id=named.only_evening(cells, "given_on", given_on),
            member_id=named.teacher(cells, "by", given_on),
        )

    def check(cells: Cells, row: Yes, known: Yes | None) -> None:
        if known and not cells.text("by"):
            row.member_id = known.member_id

    one_writer(scope)
    facts = lines.beside(
        stored=named.near(Yes.objects.filter(school_id=scope.school_id), "student"),
        key=("student_id", "skill_id", "role", "kind", "given_on", "lesson_id"),
        says=("member_id",),
        parse=parse,
        check=check,
    )
    if not dry_run:
        named.ensure_evenings(facts.new)
        facts.save()
        for row in (*facts.new, *facts.changed):
            record(scope, what="give_yes", at=at, about=row.student_id, given=str(row.id))
    return facts


def current(
    scope: Scope,
    *,
    student_ids: Collection[UUID],
    on: date,
    lesson_id: UUID,
    edition: EditionInUse | None,
) -> frozenset[tuple[UUID, str, str, str]]:
    """This will find the yeses that hold at a lesson: (student, skill key, role, kind).

    A yes runs out when the child comes back after more weeks than the school's policy allows,
    with a fall in that skill that is later or not looked at, and when the studio takes an
    edition into use in which the skill's card is another. `edition` is the one in use at the
    lesson; without one nothing holds. Raises `Unknown` for a lesson that is not in scope.
    """
    if edition is None:
        return frozenset()
    keys = {skill_id: key for key, skill_id in edition.skill_ids.items()}
    rows = list(
        Yes.objects.filter(
            Q(lesson_id=lesson_id) | Q(lesson__isnull=True),
            school_id=scope.school_id,
            student_id__in=visible(scope, student_ids=student_ids),
            skill_id__in=keys,
            given_on__lte=on,
        )
    )
    over = ended(scope, rows=rows, studio_id=_studio_of(scope, lesson_id, on), on=on)
    return frozenset(
        (row.student_id, keys[row.skill_id], row.role, row.kind)
        for row in rows
        if row.id not in over
    )


def listed(
    scope: Scope,
    *,
    at: datetime,
    student_id: UUID | None = None,
    skill: str | None = None,
    lesson_id: UUID | None = None,
) -> tuple[Listed, ...]:
    """This will list the yeses in sight by their day, those that ran out too; `skill` is a key.

    They are judged at a lesson, else today where the child last had a place. Nothing for what
    cannot be seen.
    """
    asked = {"student_id": student_id, "skill__key": skill}
    rows = Yes.objects.select_related("skill", "member").filter(
        school_id=scope.school_id, **{name: said for name, said in asked.items() if said}
    )
    seen = visible(scope, student_ids=rows.values("student_id"))
    rows = [row for row in rows.order_by("given_on", "id") if row.student_id in seen]
    if lesson_id:
        try:
            lesson = lessons.find(scope, lesson_id=lesson_id, around=at.date())
            place = find(scope, class_id=lesson.class_id).studio_id, lesson.on
        except Unknown:
            return ()
        rows = [row for row in rows if row.lesson_id in (None, lesson_id)]
        places = dict.fromkeys(seen, place)
    else:
        places = _places(scope, seen, at)
    why = {}
    for place in set(places.values()):
        why |= _why_not(scope, [row for row in rows if places[row.student_id] == place], *place)
    return tuple(
        Listed(
            id=row.id,
            student=row.student_id,
            skill=row.skill.key,
            role=row.role,
            kind=row.kind,
            given_on=row.given_on,
            lesson=row.lesson_id,
            by=row.member.name,
            ran_out=why.get(row.id),
        )
        for row in rows
    )


def take_back(scope: Scope, *, yes_id: UUID, at: datetime) -> None:
    """This will take back a yes that was given by mistake, on its day or before.

    Raises `NotAllowed`, `Unknown`, and `Conflict` for an earlier one: it was acted on.
    """
    scope.need_teacher("taking back a yes")
    with transaction.atomic():
        row = Yes.objects.filter(school_id=scope.school_id, id=yes_id).first()
        if row is None or not visible(scope, student_ids=[row.student_id]):
            raise Unknown("no such yes")
        need_today(scope, on=row.given_on, at=at)
        row.delete()
        record(scope, what="take_back_yes", at=at, about=row.student_id, given=str(yes_id))


def _places(scope, student_ids, at):
    """The studio where each child last had a place, None where she never had, and its date now."""
    places = dict.fromkeys(student_ids, (None, at.date()))
    rows = Enrolment.objects.filter(
        school_id=scope.school_id,
        student_id__in=student_ids,
        group_class__studio_id__in=scope.studio_ids,
    ).order_by("from_date", "id")
    columns = "student_id", "group_class__studio_id", "group_class__studio__zone"
    for student_id, studio_id, zone in rows.values_list(*columns):
        places[student_id] = studio_id, at.astimezone(ZoneInfo(zone)).date()
    return places


def _why_not(scope, rows, studio_id, on):
    """Why rows do not hold at a studio on a day, in words, by id."""
    edition = studio_id and editions.in_use(scope, studio_id=studio_id, on=on)
    taught = edition.skill_ids.values() if edition else ()
    given = [row for row in rows if row.given_on <= on]
    why = ended(scope, rows=given, studio_id=studio_id, on=on)
    for row in rows:
        if row.given_on > on:
            why[row.id] = f"holds from {row.given_on} on"
        elif row.lesson_id and row.given_on < on:
            why[row.id] = f"for the evening of {row.given_on} only"
        elif row.skill_id not in taught:
            why[row.id] = "not in the curriculum in use"
    return why


def ended(
    scope: Scope, *, rows: Sequence[Yes], studio_id: UUID | None, on: date
) -> dict[UUID, str]:
    """This will tell why yeses given up to a day have run out on it at a studio, in words, by id.

    `rows` are of children in scope.
    """
    ids, skill_ids = {row.student_id for row in rows}, {row.skill_id for row in rows}
    since = min((row.given_on for row in rows), default=on)
    came_back = _came_back(scope, ids, on)
    changed = _changed(scope, studio_id, skill_ids, since, on)
    falls = defaultdict(list)
    for fall in Fall.objects.filter(
        school_id=scope.school_id, student_id__in=ids, skill_id__in=skill_ids, on__lte=on
    ).order_by("on", "id"):
        falls[fall.student_id, fall.skill_id].append(fall)
    why = {}
    for row in rows:
        back = came_back.get(row.student_id, date.min)
        other = changed.get(row.skill_id, date.min)
        undone = [f for f in falls[row.student_id, row.skill_id] if _undoes(f, row, on)]
        if row.given_on < back:
            why[row.id] = f"back after a break on {back}"
        elif row.given_on < other:
            why[row.id] = f"the card changed on {other}"
        elif undone:
            why[row.id] = f"someone fell on {undone[-1].on}"
    return why


def _undoes(fall, row, on):
    if fall.looked_at_on is None or fall.looked_at_on > on:
        return True
    # On the day of the fall itself only the look tells which of the two came first.
    return fall.on > row.given_on or fall.on == row.given_on < fall.looked_at_on


def _came_back(scope, student_ids, on):
    """The last day, up to `on`, on which each child came back after a break."""
    longest = timedelta(weeks=policy(scope).back_after_weeks)
    back = {}
    for student_id, days in days_here(scope, student_ids=student_ids, before=on).items():
        for before, after in pairwise((*days, on)):
            if after - before > longest:
                back[student_id] = after
    return back


def _studio_of(scope, lesson_id, on):
    # A lesson that nobody has entered anything for is not stored, but its id tells its class.
    classes = Class.objects.filter(school_id=scope.school_id, studio_id__in=scope.studio_ids)
    for class_id, studio_id in classes.values_list("id", "studio_id"):
        if lessons.lesson_id(class_id, on) == lesson_id:
            return studio_id
    raise Unknown("no such lesson")


def _changed(scope, studio_id, skill_ids, since, on):
    """The last day in (since, on] from which each skill's card at a studio was another one."""
    adopted = list(
        Adoption.objects.filter(
            school_id=scope.school_id, studio_id=studio_id, from_date__lte=on
        ).order_by("-from_date")
    )
    in_question = []
    for adoption in adopted:
        in_question.append(adoption)
        if adoption.from_date <= since:
            break
    if len(in_question) < 2 or not skill_ids:
        return {}
    documents = {
        (edition_id, skill_id): document
        for edition_id, skill_id, document in Card.objects.filter(
            school_id=scope.school_id,
            edition_id__in={adoption.edition_id for adoption in in_question},
            skill_id__in=skill_ids,
        ).values_list("edition_id", "skill_id", "document")
    }
    changed = {}
    for earlier, later in pairwise(reversed(in_question)):
        for skill_id in skill_ids:
            was = documents.get((earlier.edition_id, skill_id))
            if was != documents.get((later.edition_id, skill_id)):
                changed[skill_id] = later.from_date
    return changed
