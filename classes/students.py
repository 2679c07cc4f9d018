"""Children: finding them by name, and the few facts that planning needs."""

import unicodedata
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from difflib import get_close_matches
from uuid import UUID

from django.db.models import Q

from accounts.policy import policy
from accounts.scope import Scope
from classes.models import Agreement, Enrolment, Identity, Measurement, Student
from classes.models.children import HEIGHT_CM, MASS_KG, RECORD_MASS

MASS_DAYS = 120  # older is unknown; nothing is ever estimated for a safety rule


class UnknownStudent(Exception):
    """A name that nobody in scope has, or that two have; the text says which names come close."""


@dataclass(frozen=True)
class Directory:
    """The children in scope by name. A display name carries the initial only where the given
    name alone would mean two children of the school."""

    names: dict[UUID, str]
    spelled: dict[str, tuple[UUID, ...]]

    def find(self, text: str) -> UUID:
        """The child that a name means, whatever its case. Raises `UnknownStudent`."""
        found = self.spelled.get(_folded(text), ())
        if len(found) == 1:
            return found[0]
        if found:
            both = sorted(self.names[id_] for id_ in found)
            raise UnknownStudent(f"“{text}” may be {' or '.join(both)}: write which")
        near = get_close_matches(_folded(text), list(self.spelled), n=3, cutoff=0.6)
        names = sorted({self.names[id_] for name in near for id_ in self.spelled[name]})
        hint = f"; near to it: {', '.join(names)}" if names else ""
        raise UnknownStudent(f"no child is called “{text}”{hint}")


@dataclass(frozen=True)
class ChildFacts:
    """What planning needs of a child; the height is the latest one, in centimetres."""

    id: UUID
    name: str
    birth_year: int
    birth_month: int
    joined_on: date
    left_on: date | None
    height_cm: float | None
    height_on: date | None


def _visible(scope):
    """Children enrolled in a studio in scope at any time; a head teacher sees all."""
    found = Student.objects.filter(school_id=scope.school_id)
    if scope.is_head:
        return found
    places = Enrolment.objects.filter(
        school_id=scope.school_id, group_class__studio_id__in=scope.studio_ids
    )
    return found.filter(id__in=places.values("student_id"))


def directory(scope: Scope) -> Directory:
    """This will list the names of the children in scope."""
    rows = list(
        Identity.objects.filter(school_id=scope.school_id).values_list(
            "student_id", "given_name", "initial"
        )
    )
    in_scope = set(_visible(scope).values_list("id", flat=True))
    shared = defaultdict(int)
    for _, given, _ in rows:
        shared[_folded(given)] += 1
    names, spelled = {}, defaultdict(set)
    for id_, given, initial in rows:
        if id_ not in in_scope:
            continue
        full = f"{given} {initial}".strip()
        names[id_] = full if shared[_folded(given)] > 1 else given
        for text in (given, full, full.rstrip(".")):
            spelled[_folded(text)].add(id_)
    return Directory(names, {text: tuple(sorted(ids)) for text, ids in spelled.items()})


def _folded(text):
    return " ".join(unicodedata.normalize("NFC", text).casefold().split())


def children(scope: Scope, *, student_ids: Collection[UUID]) -> tuple[ChildFacts, ...]:
    """This will read the facts of those of `student_ids` that are in scope, by name, then id."""
    names = directory(scope).names
    heights = {}
    for student_id, on, value in (
        Measurement.objects.filter(
            school_id=scope.school_id, kind=HEIGHT_CM, student_id__in=student_ids
        )
        .order_by("on")
        .values_list("student_id", "on", "value")
    ):
        heights[student_id] = (value, on)
    found = [
        ChildFacts(
            id=student.id,
            name=names[student.id],
            birth_year=student.birth_year,
            birth_month=student.birth_month,
            joined_on=student.joined_on,
            left_on=student.left_on,
            height_cm=heights.get(student.id, (None, None))[0],
            height_on=heights.get(student.id, (None, None))[1],
        )
        for student in _visible(scope).filter(id__in=student_ids)
        if student.id in names
    ]
    return tuple(sorted(found, key=lambda facts: (facts.name.casefold(), facts.id)))


def age_at(birth_year: int, birth_month: int, on: date) -> int:
    """Whole years by birth month; in the month itself the birthday still counts as to come."""
    return on.year - birth_year - (1 if on.month <= birth_month else 0)


def masses(scope: Scope, *, student_ids: Collection[UUID], on: date) -> dict[UUID, float]:
    """This will read the masses in kg for the load rule of grouping, and for nothing else.

    The one function that reads them: the latest value up to `on`, at most 120 days old, where the
    school records masses, the child is old enough and the guardian's agreement stands.
    """
    rules = policy(scope)
    if not rules.uses_mass:
        return {}
    agreed = set(
        Agreement.objects.filter(
            school_id=scope.school_id,
            kind=RECORD_MASS,
            student_id__in=student_ids,
            agreed_on__lte=on,
        )
        .filter(Q(withdrawn_on__isnull=True) | Q(withdrawn_on__gt=on))
        .values_list("student_id", flat=True)
    )
    old_enough = {
        student.id
        for student in _visible(scope).filter(id__in=agreed)
        if age_at(student.birth_year, student.birth_month, on) >= rules.mass_from_age
    }
    rows = (
        Measurement.objects.filter(
            school_id=scope.school_id,
            kind=MASS_KG,
            student_id__in=old_enough,
            on__lte=on,
            on__gte=on - timedelta(days=MASS_DAYS),
        )
        .order_by("on")
        .values_list("student_id", "value")
    )
    return dict(rows)
