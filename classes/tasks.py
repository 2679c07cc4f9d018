"""What a worker may be asked for: ids in, one call. It may be asked twice.

`later` takes in what a newer sender says beside it.
"""

from uuid import UUID

from celery import shared_task
from django.utils import timezone

from accounts.scope import scope_of_school
from classes import replay, retention


@shared_task(name="classes.refresh")
def refresh(*, school_id, student_ids, **later):
    scope = scope_of_school(school_id=UUID(school_id))
    replay.refresh(scope, student_ids=frozenset(map(UUID, student_ids)))


@shared_task(name="classes.retain")
def retain(*, school_id, **later):
    retention.retain(scope_of_school(school_id=UUID(school_id)), now=timezone.now())
