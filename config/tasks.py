"""The one task that publishes others."""

from celery import shared_task
from django.utils import timezone

from config.celery import TIMES
from config.jobs import JOBS


@shared_task(name="config.share_out")
def share_out(*, job, **later):
    """Hand each call of a job to whichever worker is free."""
    for call in JOBS[job].calls(timezone.now()):
        JOBS[job].task.apply_async(kwargs=call, expires=TIMES[job].expires)
