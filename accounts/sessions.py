"""How long a browser stays signed in: while it is used, and for how long between."""

from datetime import datetime, timedelta

from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.models import Session

STAYS = timedelta(weeks=4)  # on her own phone; else as the settings say
WRITTEN_EVERY = timedelta(hours=1)  # so that not every request writes


def stay(session: SessionBase, *, stays: bool, now: datetime) -> None:
    """This will keep a browser signed in for four weeks without a request, or as long as usual."""
    session.set_expiry(int(STAYS.total_seconds()) if stays else None)
    session["used_at"] = now.timestamp()


def slide(session: SessionBase, *, now: datetime) -> None:
    """This will have the session last from now on; it is written at most once an hour."""
    if now.timestamp() - session.get("used_at", 0) >= WRITTEN_EVERY.total_seconds():
        session["used_at"] = now.timestamp()


def forget(*, now: datetime) -> int:
    """This will delete the sessions that have run out; how many."""
    deleted, _ = Session.objects.filter(expire_date__lte=now).delete()
    return deleted
