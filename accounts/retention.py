"""How long what lets somebody in is kept: not longer than it may be used, and a week."""

from datetime import datetime, timedelta

from django.db import transaction

from accounts.events import record
from accounts.models import Invitation, Token
from accounts.scope import Scope

INVITATION = timedelta(days=7)  # after it has run out


def retain(scope: Scope, *, now: datetime) -> dict[str, int]:
    """This will delete the tokens of a school that have run out, and invitations that did so seven
    days ago or earlier; how many of each. An event holds the counts where there were any.
    """
    over = {
        "tokens": Token.objects.filter(school_id=scope.school_id, expiry__lte=now),
        "invitations": Invitation.objects.filter(
            school_id=scope.school_id, expires_at__lte=now - INVITATION
        ),
    }
    with transaction.atomic():
        counts = {name: rows.delete()[0] for name, rows in over.items()}
        if any(counts.values()):
            record(scope, what="retain_accounts", at=now, **counts)
    return counts
