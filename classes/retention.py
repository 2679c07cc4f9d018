"""How long facts about a child are kept that age: measures, restrictions, held rows.

The log of tries, agreements, yeses and falls stay as long as the child.
"""

from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import OuterRef, Q, Subquery

from accounts.events import record
from accounts.scope import Scope
from classes.models import HeldRow, Measurement, Restriction
from classes.models.children import HEIGHT_CM, MASS_KG

MASS = timedelta(days=180)
HEIGHT = timedelta(days=730)
HEIGHTS_KEPT = 2
RESTRICTION = timedelta(days=90)  # after its last day; that there was one stays, as an event
HELD_ROW = timedelta(days=90)


def retain(scope: Scope, *, now: datetime) -> dict[str, int]:
    """This will delete of a school what is older than it may be kept; how many rows of each kind.

    Masses go after 180 days, held rows after 90, restrictions 90 days after their end. Of heights
    the latest two of a child stay, for 24 months. What is exactly so old stays. An event holds
    the counts where there were any.
    """
    today = now.date()
    mine = {"school_id": scope.school_id}
    heights = Measurement.objects.filter(kind=HEIGHT_CM, **mine)
    kept = heights.filter(student_id=OuterRef("student_id")).order_by("-on").values("on")
    over = {
        "masses": Measurement.objects.filter(kind=MASS_KG, on__lt=today - MASS, **mine),
        "heights": heights.filter(
            Q(on__lt=today - HEIGHT) | Q(on__lt=Subquery(kept[HEIGHTS_KEPT - 1 : HEIGHTS_KEPT]))
        ),
        "restrictions": Restriction.objects.filter(until__lt=today - RESTRICTION, **mine),
        "held_rows": HeldRow.objects.filter(received_at__lt=now - HELD_ROW, **mine),
    }
    with transaction.atomic():
        counts = {name: rows.delete()[0] for name, rows in over.items()}
        if any(counts.values()):
            record(scope, what="retain_children", at=now, **counts)
    return counts
