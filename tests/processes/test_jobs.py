"""A real worker and beat: what was logged becomes fresh, whoever is killed or away."""

import json
import os
import re
import signal
import sys
import time

import pytest

from tests.processes.machine import until
from tests.processes.world import MASS, NAME

AWAY_SECONDS = float(os.environ.get("REDIS_AWAY_SECONDS", "30"))
STALE = "SELECT count(*) FROM replay WHERE done_version < log_version"
FRESH = "SELECT count(*) FROM replay WHERE done_version = log_version"
AGAIN = "UPDATE replay SET log_version = log_version + 1 RETURNING 1"


def count(machine, statement):
    return machine.rows(statement)[0][0]


def all_fresh(machine):
    return count(machine, STALE) == 0


def becomes_fresh(machine):
    """With a worker that is begun anew if it ends, as docker-compose.yml has it.

    A worker that holds a message while Redis refuses it ends (kombu 5.7), and what it held is
    shared out again: rows say what is to do.
    """

    def fresh():
        if machine.running["worker"].poll() is not None:
            machine.start_worker()
        return all_fresh(machine)

    until(fresh)


def check(machine, said):
    """A full replay finds every belief as it is kept."""
    as_head = ("--school", said["school"], "--as", said["head"])
    found = machine.run("manage.py", "replay", "--check", *as_head)
    compared, stale = re.match(r"(\d+) children compared, (\d+) to be", found).groups()
    assert (int(compared), int(stale)) == (said["names"], 0)


def says_nothing_of_children(machine):
    for name in ("worker", "second", "beat", "redis", "postgres", "web"):
        text = machine.log(name)
        assert not [canary for canary in (NAME, str(MASS)) if canary in text], name


@pytest.fixture(scope="module")
def said(fill):
    return fill(120, 30)


@pytest.fixture
def running(machine, said):
    """Redis, beat and a worker, and every child stale."""
    for name, start in (
        ("redis", machine.start_redis),
        ("worker", machine.start_worker),
        ("beat", machine.start_beat),
    ):
        if name not in machine.running:
            start()
    machine.rows(AGAIN)
    yield machine
    for name in ("worker", "second", "beat"):  # shown where the test failed
        sys.stdout.write("\n".join((name, *machine.log(name).splitlines()[-25:], "")))


def test_what_was_logged_becomes_fresh(running, said):
    until(lambda: all_fresh(running))
    check(running, said)
    says_nothing_of_children(running)


def test_a_worker_that_is_killed_in_the_middle(running, said):
    for _ in range(3):
        before = count(running, FRESH)
        until(lambda before=before: count(running, FRESH) > before)
        running.kill("worker")
        if all_fresh(running):
            running.rows(AGAIN)
        running.start_worker()
    running.start_worker("second")
    until(lambda: all_fresh(running))
    running.kill("second")
    check(running, said)
    says_nothing_of_children(running)


def test_a_task_that_fails_is_told_without_what_it_held(running):
    publish = "from config.celery import app\n"
    publish += (
        f"app.send_task('classes.refresh', kwargs={{'school_id': '{NAME}', 'student_ids': []}})"
    )
    running.run("-c", publish)
    failed = until(lambda: re.findall(".* raised unexpected.*", running.log("worker")))
    line = json.loads(failed[0])
    assert line["said"].startswith("Task classes.refresh[")
    assert line["error"]["classes"] == ["builtins.ValueError"]
    says_nothing_of_children(running)


def test_redis_that_is_away_and_comes_back_empty(running, said):
    running.kill("redis")
    running.rows(AGAIN)
    time.sleep(AWAY_SECONDS)
    assert not all_fresh(running)
    running.start_redis()  # it keeps nothing: this one is empty
    becomes_fresh(running)
    check(running, said)
    says_nothing_of_children(running)


def test_redis_that_is_frozen(running, said):
    os.killpg(running.running["redis"].pid, signal.SIGSTOP)
    running.rows(AGAIN)
    time.sleep(AWAY_SECONDS)
    os.killpg(running.running["redis"].pid, signal.SIGCONT)
    becomes_fresh(running)
    check(running, said)
