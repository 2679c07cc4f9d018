"""The school's policy: bars, limits, ages, adults in the room."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import datetime

from django.db import transaction

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.models import School
from accounts.scope import Conflict, Scope

# The database holds the bounds, and they are said once, there.
BOUNDS: dict[str, tuple[float, float]] = {
    low[0].removesuffix("__gte"): (low[1], high[1])
    for low, high in (constraint.condition.children for constraint in School._meta.constraints)
}
MASS_CAUTION = (
    "Nobody needs to be weighed to learn partner balances: everything works without a mass, and"
    " most schools leave it off. Switched on, a head teacher may keep what a guardian's form says,"
    " with the guardian's dated agreement and never under the age that the policy names; only the"
    " latest is kept, and it is never shown on a sheet, sorted by or asked for. Nobody comments on"
    " a body. Whoever has read this and means it sends it again with “confirmed”: true."
)


@dataclass(frozen=True)
class Policy:
    """`bar` is a probability, ages are years; the other names carry their unit."""

    bar: float
    adults_in_room: int
    children_per_adult: int
    turns_under_one_spot: int
    back_after_weeks: int
    pair_check_days: int
    height_days: int
    max_load_ratio: float
    flyer_taller_by_at_most_cm: float
    uses_mass: bool
    mass_from_age: int
    agreements_kept_elsewhere: bool


COLUMNS = tuple(field.name for field in fields(Policy))


def policy(scope: Scope) -> Policy:
    """This will read the policy of the scope's school."""
    return Policy(**School.objects.values(*COLUMNS).get(id=scope.school_id))


def change(
    scope: Scope,
    *,
    said: Mapping[str, float | bool],
    at: datetime,
    confirmed: bool = False,
    dry_run: bool = False,
) -> tuple[str, ...]:
    """This will change columns of the policy, and tell which differed from what stands.

    Masses are switched on by a head teacher who has read what that means and says so: `confirmed`.
    Raises `NotAllowed`, `Conflict` with the caution to read and, with every fault, `BadDocument`.
    """
    scope.need_head("changing the policy")
    faults = [
        Fault(f"/{column}", f"should be between {low:g} and {high:g}")
        for column, (low, high) in BOUNDS.items()
        if not low <= said.get(column, low) <= high
    ]
    if faults:
        raise BadDocument(faults)
    with transaction.atomic():
        school = School.objects.select_for_update(no_key=True).get(id=scope.school_id)
        changed = tuple(column for column in said if getattr(school, column) != said[column])
        if "uses_mass" in changed and said["uses_mass"] and not confirmed:
            raise Conflict(MASS_CAUTION)
        if dry_run:
            return changed
        for column in changed:
            was = getattr(school, column)
            setattr(school, column, said[column])
            record(
                scope,
                what="change_policy",
                at=at,
                column=column,
                was=was,
                becomes=said[column],
            )
        school.save(update_fields=changed)
    return changed
