"""What runs by itself, and for whom: the same jobs with Redis and without.

A job is a task with the calls it comes to at a moment. Beat has them shared out to workers,
`manage.py jobs` makes the same calls one after the other.
"""

import logging
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime

from celery import Task

import accounts.tasks
import classes.tasks
import planning.tasks
from accounts import schools
from accounts.scope import scope_of_school
from classes import replay
from planning import preparation

CHILDREN_A_CALL = 20  # so that two workers share a school, and none is long at it

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Job:
    """`calls` makes the keyword arguments of each call at a moment: ids, as texts."""

    task: Task
    calls: Callable[[datetime], Iterator[dict[str, object]]]


def _once(now):
    yield {}


def _schools(now):
    for school_id in schools.ids():
        yield {"school_id": str(school_id)}


def _stale(now):
    for school_id in schools.ids():
        ids = [str(id_) for id_ in replay.stale(scope_of_school(school_id=school_id))]
        for start in range(0, len(ids), CHILDREN_A_CALL):
            children = ids[start : start + CHILDREN_A_CALL]
            yield {"school_id": str(school_id), "student_ids": children}


def _coming(now):
    for school_id in schools.ids():
        for lesson_id in preparation.coming(scope_of_school(school_id=school_id), now=now):
            yield {"school_id": str(school_id), "lesson_id": str(lesson_id)}


JOBS = {
    "refresh": Job(classes.tasks.refresh, _stale),
    "prepare": Job(planning.tasks.prepare, _coming),
    "retain_accounts": Job(accounts.tasks.retain, _schools),
    "retain_children": Job(classes.tasks.retain, _schools),
    "forget_rates": Job(accounts.tasks.forget_rates, _once),
    "forget_sessions": Job(accounts.tasks.forget_sessions, _once),
}


def run(name: str, *, now: datetime) -> tuple[int, int]:
    """This will make all calls of a job here: how many there were, and how many have failed.

    What goes wrong with one is logged and stops no other; the next time it is called again.
    """
    calls = failed = 0
    for calls, call in enumerate(JOBS[name].calls(now), 1):  # noqa: B007, counts what was made
        try:
            JOBS[name].task(**call)
        except Exception:
            failed += 1
            log.exception("job failed: %s", name)
    return calls, failed
