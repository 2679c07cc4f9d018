"""Who writes in a school's curriculum does it one after the other."""

from accounts.models import School
from accounts.scope import Scope


def one_at_a_time(scope: Scope) -> None:
    """This will make others who write in the school wait until the transaction has ended."""
    list(School.objects.select_for_update(no_key=True).filter(id=scope.school_id))
