"""The school's policy: bars, limits, ages, adults in the room."""

from dataclasses import dataclass, fields

from accounts.models import School
from accounts.scope import Scope


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


def policy(scope: Scope) -> Policy:
    """This will read the policy of the scope's school."""
    names = [field.name for field in fields(Policy)]
    return Policy(**School.objects.values(*names).get(id=scope.school_id))
