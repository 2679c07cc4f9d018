"""Workers on Redis, and when beat hands them their jobs.

The web process publishes nothing: a row says what is to do, and beat looks for it.
"""

import logging.config
import os
from dataclasses import dataclass
from datetime import timedelta

from celery import Celery
from celery.schedules import BaseSchedule, crontab, schedule
from celery.signals import setup_logging

from config.logs import LOGGING

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

app = Celery("counterpoise")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()


@setup_logging.connect
def _our_log(**said):
    """Celery's own way of logging writes what a task was called with and what went wrong."""
    logging.config.dictConfig(LOGGING)


@dataclass(frozen=True)
class Times:
    """When a job is shared out, and after how many seconds nobody needs to begin it any more.

    `said` tells the first in words.
    """

    said: str
    when: BaseSchedule
    expires: int


def _nightly(minute: int) -> Times:
    # Twice, in UTC: a beat that was away at the first hour is there at the second.
    said = f"nightly at 01:{minute} and 03:{minute} UTC"
    return Times(said, crontab(hour="1,3", minute=minute, app=app), expires=3600)


def _every(seconds: int, *, expires: int) -> Times:
    return Times(f"every {seconds} seconds", schedule(timedelta(seconds=seconds), app=app), expires)


TIMES = {
    "refresh": _every(3, expires=10),
    "prepare": _nightly(10),
    "retain_accounts": _nightly(40),
    "retain_children": _nightly(50),
    "forget_rates": _every(600, expires=300),
    "forget_sessions": _nightly(30),
}

app.conf.beat_schedule = {
    name: {
        "task": "config.share_out",
        "schedule": times.when,
        "kwargs": {"job": name},
        "options": {"expires": times.expires},
    }
    for name, times in TIMES.items()
}
