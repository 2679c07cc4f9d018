"""What a worker may be asked for: ids in, one call. It may be asked twice.

`later` takes in what a newer sender says beside it.
"""

from uuid import UUID

from celery import shared_task
from django.utils import timezone

from accounts.scope import scope_of_school
from planning import preparation


@shared_task(name="planning.prepare")
def prepare(*, school_id, lesson_id, **later):
    scope = scope_of_school(school_id=UUID(school_id))
    preparation.prepare(scope, lesson_id=UUID(lesson_id), now=timezone.now())
