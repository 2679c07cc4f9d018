"""The jobs, with neither Redis nor a worker: which calls they come to, and what these do."""

import ast
from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import pytest

from accounts.scope import Unknown
from classes.models import Measurement, Replay, Student
from classes.tasks import refresh
from config import jobs
from config.celery import TIMES, app
from tests import factories
from tests.classes.fact_school import AT, TODAY, build
from tests.shell import shell

ROOT = Path(__file__).parents[2]


@pytest.fixture
def school(db):
    return build()


def mark(school, *names):
    for name in names:
        Replay.objects.create(school_id=school.id, student_id=school.children[name], log_version=1)


def fresh():
    return Replay.objects.filter(done_version=1).count()


def test_every_job_has_its_time_and_beat_knows_them_all():
    assert jobs.JOBS.keys() == TIMES.keys() == app.conf.beat_schedule.keys()
    assert app.conf.timezone == "UTC"
    for name, entry in app.conf.beat_schedule.items():
        assert entry["task"] == "config.share_out"
        assert entry["kwargs"] == {"job": name}
        assert entry["options"]["expires"] == TIMES[name].expires > 0


def test_tasks_finish_or_come_back():
    conf = app.conf
    assert conf.task_acks_late
    assert conf.task_ignore_result
    assert conf.worker_prefetch_multiplier == 1
    assert conf.accept_content == ["json"]
    assert conf.task_soft_time_limit < conf.task_time_limit
    # A task that outlives the timeout would run twice beside itself.
    assert conf.task_time_limit < conf.broker_transport_options["visibility_timeout"]


def test_a_refresh_is_called_for_stale_children_alone_a_few_at_a_time(school, monkeypatch):
    monkeypatch.setattr(jobs, "CHILDREN_A_CALL", 2)
    other = build("Another School")
    mark(school, "Amara", "Bao", "Hana")
    mark(other, "Rangi")
    calls = list(jobs.JOBS["refresh"].calls(AT))
    assert [(call["school_id"], len(call["student_ids"])) for call in calls] == [
        (str(school.id), 2),
        (str(school.id), 1),
        (str(other.id), 1),
    ]
    named = {id_ for call in calls for id_ in call["student_ids"]}
    stale = [school.children[name] for name in ("Amara", "Bao", "Hana")]
    assert named == {str(id_) for id_ in (*stale, other.children["Rangi"])}


def test_a_job_runs_here_and_twice_is_once(school):
    mark(school, "Amara", "Bao")
    assert jobs.run("refresh", now=AT) == (1, 0)
    assert fresh() == 2
    assert jobs.run("refresh", now=AT) == (0, 0)


def test_a_task_called_with_foreign_ids_changes_nothing(school):
    other = build("Another School")
    mark(school, "Amara")
    before = factories.every_row()
    refresh(school_id=str(other.id), student_ids=[str(school.children["Amara"])])
    with pytest.raises(Unknown, match="no such school"):
        refresh(school_id=str(uuid4()), student_ids=[str(school.children["Amara"])])
    assert factories.every_row() == before


def test_a_task_takes_in_what_a_newer_sender_says_beside_it(school):
    mark(school, "Amara")
    refresh(school_id=str(school.id), student_ids=[str(school.children["Amara"])], newer="yes")
    assert fresh() == 1


@pytest.mark.parametrize("name", list(jobs.JOBS))
def test_every_job_runs_on_an_empty_database(db, name):
    assert jobs.run(name, now=AT) == (1 if name.startswith("forget_") else 0, 0)


def test_a_call_that_fails_is_logged_and_stops_no_other(school, monkeypatch, caplog):
    mark(school, "Amara", "Bao")
    good = list(jobs.JOBS["refresh"].calls(AT))
    bad = {"school_id": "Amara 31.5", "student_ids": []}
    job = jobs.Job(refresh, lambda now: iter([bad, *good]))
    monkeypatch.setitem(jobs.JOBS, "refresh", job)
    assert jobs.run("refresh", now=AT) == (2, 1)
    assert fresh() == 2
    [record] = caplog.records
    assert (record.name, record.getMessage()) == ("config.jobs", "job failed: refresh")
    ran = shell("jobs", "--once", "refresh")
    assert (ran.status, ran.out) == (1, "refresh: 2 calls\n")
    assert ran.err.splitlines()[-1] == "CommandError: 1 failed; the log says how"


def test_the_command_runs_one_job_of_all_schools(school):
    old = TODAY - timedelta(days=200)
    for each in (school, build("Another School")):
        Measurement.objects.create(
            school_id=each.id, student_id=each.children["Amara"], kind="mass_kg", on=old, value=30
        )
    ran = shell("jobs", "--once", "retain_children")
    assert (ran.status, ran.out) == (0, "retain_children: 2 calls\n")
    assert not Measurement.objects.exists()
    assert Student.objects.exists()


def test_the_command_lists_the_jobs():
    assert shell("jobs", "--list").out.splitlines()[0] == "refresh: every 3 seconds"
    assert len(shell("jobs", "--list").out.splitlines()) == len(jobs.JOBS)


def test_the_command_refuses_a_job_that_is_none():
    assert shell("jobs", "--once", "tidy").refusal.startswith(
        "argument --once: invalid choice: 'tidy'"
    )


# -- whoever answers a request publishes nothing -----------------------------------------------

PUBLISHES = {"delay", "apply_async", "send_task", "apply"}
BROKER = {"celery", "kombu", "redis", "amqp"}
ANSWERS = ("accounts", "curriculum", "classes", "planning", "api")
WIRES = ("config/urls.py", "config/wsgi.py", "config/settings.py", "config/requests.py")


def sources():
    for folder in ANSWERS:
        for path in sorted((ROOT / folder).rglob("*.py")):
            if path.name != "tasks.py":
                yield path
    yield from (ROOT / name for name in WIRES if (ROOT / name).exists())


def imported(node):
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.ImportFrom):
        return [f"{node.module}.{alias.name}" for alias in node.names]
    return []


def test_nothing_but_the_wiring_publishes_a_task():
    found = []
    for path in sources():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Attribute) and node.attr in PUBLISHES:
                found.append(f"{path.relative_to(ROOT)}:{node.lineno} {node.attr}")
            for name in imported(node):
                if name.split(".")[0] in BROKER or "tasks" in name.split("."):
                    found.append(f"{path.relative_to(ROOT)}:{node.lineno} {name}")
    assert found == []
