"""What a worker may be asked for: ids in, one call. It may be asked twice.

`later` takes in what a newer sender says beside it.
"""

from uuid import UUID

from celery import shared_task
from django.utils import timezone

from accounts import rates, retention, sessions
from accounts.scope import scope_of_school


@shared_task(name="accounts.retain")
def retain(*, school_id, **later):
    retention.retain(scope_of_school(school_id=UUID(school_id)), now=timezone.now())


@shared_task(name="accounts.forget_rates")
def forget_rates(**later):
    rates.forget(now=timezone.now())


@shared_task(name="accounts.forget_sessions")
def forget_sessions(**later):
    sessions.forget(now=timezone.now())
