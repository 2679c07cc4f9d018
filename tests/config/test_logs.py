"""What reaches the log: never a name, a mass or what somebody has typed."""

import json
import logging
import sys

import pytest
from django.db import IntegrityError, connection, transaction

from accounts.models import School
from classes.models import Identity, Measurement
from config.logs import LOGGING, JsonLines, request_id
from tests import factories

CANARIES = ("Quillonaria", "41.7391", "name=")


def line(name, message, *args, error=None, **extra):
    """The line of one log call, whose text holds none of the canaries."""
    info = (type(error), error, error.__traceback__) if error else None
    record = logging.getLogger(name).makeRecord(
        name, logging.ERROR, "/elsewhere/sink.py", 7, message, args, info, "spill", extra
    )
    text = JsonLines().format(record)
    assert "\n" not in text
    assert not [canary for canary in CANARIES if canary in text]
    return json.loads(text)


def caught(function, *args, **kwargs):
    with pytest.raises(IntegrityError) as found, transaction.atomic():
        function(*args, **kwargs)
        connection.check_constraints()
    return found.value


def test_our_own_words_stand_as_they_are():
    said = line("config.jobs", "job failed: %s", "refresh")
    assert (said["said"], said["level"], said["logger"]) == (
        "job failed: refresh",
        "error",
        "config.jobs",
    )
    assert not {"request", "error", "status"} & said.keys()


def test_of_other_loggers_the_gaps_stay_empty():
    said = line("django.request", "%s: %s, %d", "Not Found", "/a?name=Quillonaria", 404)
    assert said["said"] == "…: …, 404"
    assert line("somewhere", "weighs %.1f", 41.7391)["said"] == "weighs %.1f"


def test_of_other_loggers_words_that_may_be_filled_in_are_a_place():
    assert line("gunicorn.error", "Invalid request: /a?name=Quillonaria")["said"] == "sink.spill:7"
    assert line("elsewhere", ValueError("Quillonaria"))["said"] == "ValueError"


def test_a_worker_says_which_task_and_nothing_of_its_arguments():
    said = line(
        "celery.app.trace",
        "Task %(name)s[%(id)s] raised: %(exc)s %(kwargs)s",
        {"name": "classes.refresh", "id": "a1", "exc": "Quillonaria", "kwargs": "41.7391"},
        error=ValueError("Quillonaria"),
    )
    assert said["said"] == "Task classes.refresh[a1] raised: … …"
    assert said["error"]["classes"] == ["builtins.ValueError"]


def test_an_exception_that_is_filled_in_is_its_class():
    assert line("api.errors", "away: %s", ValueError("Quillonaria"))["said"] == "away: ValueError"


def test_of_an_exception_its_classes_and_places():
    try:
        try:
            raise KeyError("Quillonaria")
        except KeyError as error:
            raise ValueError("41.7391") from error
    except ValueError:
        error = sys.exc_info()[1]
    told = line("api", "broken", error=error)["error"]
    assert told["classes"] == ["builtins.ValueError", "builtins.KeyError"]
    assert len(told["places"]) == 1
    assert told["places"][0].startswith("tests/config/test_logs.py:")


def test_a_refused_row_is_told_by_its_constraint(db):
    student = factories.StudentFactory()
    error = caught(
        Measurement.objects.create,
        school=student.school,
        student=student,
        kind="Quillonaria",
        on=student.joined_on,
        value=41.7391,
    )
    told = line("api", "broken", error=error)["error"]
    assert told["constraint"] == "measurement_kind_known"
    assert told["classes"][0] == "django.db.utils.IntegrityError"


def test_a_name_that_is_taken_is_told_by_its_constraint(db):
    factories.SchoolFactory(name="Quillonaria")
    error = caught(School.objects.create, name="Quillonaria", created_at=factories.AT)
    told = line("api", "broken", error=error)["error"]
    assert told["constraint"] == (
        "school.name" if connection.vendor == "sqlite" else "school_name_key"
    )


def test_a_row_without_its_name_is_told_without_the_row(db):
    student = factories.StudentFactory(identity__given_name="Quillonaria")
    error = caught(Identity.objects.update, given_name=None)
    line("api", "broken", error=error)
    assert student.identity.given_name == "Quillonaria"


def test_the_request_stands_in_each_of_its_lines():
    before = request_id.set("0123abcd")
    try:
        assert line("config.jobs", "done", status=200, ms=1.5)["request"] == "0123abcd"
    finally:
        request_id.reset(before)
    assert line("config.jobs", "done", status=200)["status"] == 200


def test_nothing_has_a_way_out_of_its_own():
    assert LOGGING["root"]["handlers"] == ["lines"]
    assert LOGGING["handlers"]["lines"]["formatter"] == "json"
    assert not [one for one in LOGGING["loggers"].values() if one.get("handlers")]
    for name in ("django", "django.server", "django.request", "gunicorn.error"):
        assert logging.getLogger(name).handlers == []
