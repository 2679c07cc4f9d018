"""Children: what they are called, the facts about them, and the one reading of a mass."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.db.models import Count, F, Max, Q

from accounts.names import alphabetical, close_to, folded
from accounts.policy import policy
from accounts.scope import Scope, Unknown
from classes.models import Agreement, Enrolment, Erased, Identity, Measurement, Student
from classes.models.children import HEIGHT_CM, MASS_KG, RECORD_MASS

MASS_DAYS = 120  # an older mass is unknown


class Seen(frozenset[UUID]):
    """Children whom `scope` may see, as `visible` has found: it need not look again for them."""

    scope: Scope


class UnknownStudent(Unknown):
    """No child in sight is called so, or more than one; the text says who is near."""


@dataclass(frozen=True)
class Directory:
    """The children in sight. `names` maps an id to what tells her from all others of the school.

    `texts` maps what somebody may write, folded, to those who are meant by it.
    """

    names: Mapping[UUID, str]
    texts: Mapping[str, tuple[UUID, ...]]

    def find(self, text: str) -> UUID:
        """The child called “Amara” or “Amara K.”, whatever the case. Raises `UnknownStudent`."""
        found = self.texts.get(folded(text), ())
        if len(found) == 1:
            return found[0]
        if found:
            names = [self.names[id_] for id_ in found]
            raise UnknownStudent(f"“{text}” may be {' or '.join(names)}: write which")
        hint = close_to(text, self.names.values())
        raise UnknownStudent(f"no child is called “{text}”{hint}")


@dataclass(frozen=True)
class ChildFacts:
    """What is known of a child by measure and calendar; the height is her latest.

    The birth month of a child who came to try it may not be known.
    """

    id: UUID
    name: str
    birth_year: int | None
    birth_month: int | None
    joined_on: date
    left_on: date | None
    height_cm: float | None
    height_on: date | None


def full_name(given_name: str, initial: str) -> str:
    """Given name and initial, as one writes them."""
    return f"{given_name} {initial}." if initial else given_name


def age_years(*, birth_year: int | None, birth_month: int | None, on: date) -> int | None:
    """Whole years that a child has certainly completed: the birthday counts from the next month.

    None when the birth month is not known.
    """
    if birth_year is None or birth_month is None:
        return None
    return on.year - birth_year - (on.month <= birth_month)


def directory(scope: Scope) -> Directory:
    """This will list the children in sight: for a head teacher all of the school, else those who
    are or were in a class of the member's studios.
    """
    people = Identity.objects.filter(school_id=scope.school_id).values_list(
        "student_id", "given_name", "initial"
    )
    said = {id_: (given_name, initial) for id_, given_name, initial in people}
    seen = visible(scope, student_ids=said)
    called = _called(
        {id_: said[id_] for id_ in said if id_ in seen},
        Counter(folded(given_name) for given_name, _ in said.values()),
    )
    texts = defaultdict(list)
    for id_ in called:
        given_name, initial = said[id_]
        for text in {folded(given_name), folded(full_name(given_name, initial))}:
            texts[text].append(id_)
    return Directory(names=called, texts={text: tuple(ids) for text, ids in texts.items()})


def names(scope: Scope, *, student_ids: Collection[UUID]) -> dict[UUID, str]:
    """This will tell what those of these children who are in sight are called, in order of name.

    It is what the directory calls them; of all others of the school only names are counted.
    """
    seen = visible(scope, student_ids=student_ids)
    said = {
        id_: (given_name, initial)
        for id_, given_name, initial in Identity.objects.filter(
            school_id=scope.school_id, student_id__in=seen
        ).values_list("student_id", "given_name", "initial")
    }
    namesakes = Counter()
    spelled = Identity.objects.filter(school_id=scope.school_id).values("given_name")
    for given_name, many in spelled.annotate(many=Count("student_id")).values_list(
        "given_name", "many"
    ):
        namesakes[folded(given_name)] += many
    return _called(said, namesakes)


def _called(said, namesakes):
    """What tells each child from all others of the school, in order of name."""
    called = {
        id_: given_name if namesakes[folded(given_name)] == 1 else full_name(given_name, initial)
        for id_, (given_name, initial) in said.items()
    }
    return dict(sorted(called.items(), key=lambda item: (alphabetical(item[1]), item[0])))


def visible(scope: Scope, *, student_ids: Iterable[UUID]) -> frozenset[UUID]:
    """This will keep of these children those whom the scope may see."""
    if isinstance(student_ids, Seen) and student_ids.scope == scope:
        return student_ids
    return _seen(scope, Student.objects.filter(id__in=student_ids))


def in_sight(scope: Scope) -> frozenset[UUID]:
    """This will find all children whom the scope may see, whether they have left or not."""
    return _seen(scope, Student.objects.all())


def _seen(scope, children):
    found = children.filter(school_id=scope.school_id)
    if not scope.is_head:
        places = Enrolment.objects.filter(
            school_id=scope.school_id, group_class__studio_id__in=scope.studio_ids
        )
        found = found.filter(id__in=places.values("student_id"))
    seen = Seen(found.values_list("id", flat=True))
    seen.scope = scope
    return seen


def erased(scope: Scope, *, student_ids: Iterable[UUID]) -> frozenset[UUID]:
    """This will tell which of these ids were those of children who were erased."""
    rows = Erased.objects.filter(school_id=scope.school_id, student_id__in=student_ids)
    return frozenset(rows.values_list("student_id", flat=True))


def children(scope: Scope, *, student_ids: Collection[UUID]) -> tuple[ChildFacts, ...]:
    """This will read the facts about those of these children who are in sight, by name."""
    called = names(scope, student_ids=student_ids)
    heights = {
        id_: (value, on)
        for id_, value, on in Measurement.objects.filter(
            school_id=scope.school_id, student_id__in=student_ids, kind=HEIGHT_CM
        )
        .order_by("on")
        .values_list("student_id", "value", "on")
    }
    ours = Student.objects.filter(school_id=scope.school_id, id__in=called)
    rows = {row.id: row for row in ours}
    return tuple(
        ChildFacts(
            id=id_,
            name=called[id_],
            birth_year=rows[id_].birth_year,
            birth_month=rows[id_].birth_month,
            joined_on=rows[id_].joined_on,
            left_on=rows[id_].left_on,
            height_cm=heights.get(id_, (None, None))[0],
            height_on=heights.get(id_, (None, None))[1],
        )
        for id_ in called
    )


def masses(scope: Scope, *, student_ids: Collection[UUID], on: date) -> dict[UUID, float]:
    """This will read the masses in kg that may be used on a date: the only function that reads any.

    The school uses masses, the guardian's agreement stands, the child is old enough and the value
    at most 120 days old. Whoever is left out has no known mass.
    """
    rules = policy(scope)
    if not rules.uses_mass:
        return {}
    agreed = (
        Agreement.objects.filter(
            school_id=scope.school_id, student_id__in=student_ids, kind=RECORD_MASS
        )
        .values("student_id")
        .annotate(
            last=Max("agreed_on", filter=Q(agreed_on__lte=on)),
            ended=Max("withdrawn_on", filter=Q(withdrawn_on__lte=on)),
        )
        .filter(Q(ended__isnull=True, last__isnull=False) | Q(last__gt=F("ended")))
        .values_list("student_id", flat=True)
    )
    rows = Measurement.objects.filter(
        school_id=scope.school_id,
        student_id__in=visible(scope, student_ids=agreed),
        kind=MASS_KG,
        on__lte=on,
        on__gte=on - timedelta(days=MASS_DAYS),
    ).order_by("on")
    return {
        id_: value
        for id_, value, birth_year, birth_month in rows.values_list(
            "student_id", "value", "student__birth_year", "student__birth_month"
        )
        if (age_years(birth_year=birth_year, birth_month=birth_month, on=on) or 0)
        >= rules.mass_from_age
    }
