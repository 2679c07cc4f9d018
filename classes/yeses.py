"""A teacher's yes: to begin, to go without a spot, to show; one child, one skill, one role."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from accounts.events import record
from accounts.policy import policy
from accounts.scope import Scope, Unknown
from accounts.tables import Cells, Column
from classes import lessons
from classes.attendance import days_here
from classes.classes import ClassView
from classes.fact_files import Lines, Loaded, one_writer
from classes.given import Given
from classes.models import Class, Fall, Yes
from classes.models.children import YES_KINDS
from classes.named import Named
from classes.students import visible
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
        named = Named(scope, on=at.date(), klass=klass)
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
        facts = _enter(scope, lines, Given(scope, rows=rows, on=at.date()), at=at)
    return tuple(row.id for row in facts.rows)


def _enter(scope, lines, named, *, at, dry_run=False):
    def parse(cells: Cells) -> Yes:
        student_id, skill = named.student(cells), named.skill(cells)
        role = named.role(cells, skill)
        kind = cells.choice("kind", YES_KINDS, required=True)
        given_on = named.day(cells, "given_on", required=True)
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
    ids = visible(scope, student_ids=student_ids)
    rows = list(
        Yes.objects.filter(
            Q(lesson_id=lesson_id) | Q(lesson__isnull=True),
            school_id=scope.school_id,
            student_id__in=ids,
            skill_id__in=keys,
            given_on__lte=on,
        )
    )
    skill_ids = {row.skill_id for row in rows}
    since = min((row.given_on for row in rows), default=on)
    came_back = _came_back(scope, ids, on)
    changed = _changed(scope, _studio_of(scope, lesson_id, on), skill_ids, since, on)
    falls = list(
        Fall.objects.filter(
            school_id=scope.school_id, student_id__in=ids, skill_id__in=skill_ids, on__lte=on
        )
    )
    return frozenset(
        (row.student_id, keys[row.skill_id], row.role, row.kind)
        for row in rows
        if row.given_on >= came_back.get(row.student_id, date.min)
        and row.given_on >= changed.get(row.skill_id, date.min)
        and not any(
            (fall.student_id, fall.skill_id) == (row.student_id, row.skill_id)
            and _undoes(fall, row, on)
            for fall in falls
        )
    )


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
