"""Taking back an edition that a studio has in use: only the log knows whether a try names it."""

from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Min, Q

from accounts.scope import Conflict, Scope
from classes.models import Attempt, Enrolment
from curriculum import adoptions
from curriculum.writing import one_at_a_time


def take_back(scope: Scope, *, studio_id: UUID, from_date: date, at: datetime) -> None:
    """This will take out an adoption as `curriculum.adoptions` does, as if it had never been.

    Raises `Unknown`, `NotAllowed`, and `Conflict` where a try names that edition there since.
    """
    with transaction.atomic():
        # Whoever stores tries waits for the same row.
        one_at_a_time(scope)
        taken = adoptions.taken(scope, studio_id=studio_id, from_date=from_date)
        if taken.number != taken.back_to:
            _need_untried(scope, studio_id, taken)
        adoptions.take_back(scope, studio_id=studio_id, from_date=from_date, at=at, untried=True)


def _need_untried(scope, studio_id, taken):
    rows = Attempt.objects.filter(
        school_id=scope.school_id, edition_id=taken.edition_id, local_date__gte=taken.from_date
    )
    if taken.until:
        rows = rows.filter(local_date__lt=taken.until)
    # What was seen before has no lesson: it is of the studio where the child has a place.
    children = Enrolment.objects.filter(
        school_id=scope.school_id, group_class__studio_id=studio_id
    ).values("student_id")
    here = Q(lesson__group_class__studio_id=studio_id)
    here |= Q(lesson__isnull=True, student_id__in=children)
    first = rows.filter(here).aggregate(first=Min("local_date"))["first"]
    if first is not None:
        instead = "another edition" if taken.back_to is None else f"edition {taken.back_to}"
        raise Conflict(
            f"tries since {first} name it: take on {instead} instead, from today or a day to come"
        )
