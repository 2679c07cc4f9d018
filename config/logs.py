"""The log: one JSON object a line, with what happened and never with whom or what about.

A check violation's text holds the child's row, an address may hold a name. So of an exception its
class, the constraint and the places in the code are kept; of a message from elsewhere the words
that its author wrote, and of what was filled into them nothing but whole numbers.
"""

import json
import logging
import re
import traceback
from collections import defaultdict
from collections.abc import Mapping
from contextvars import ContextVar
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# They fill in names of jobs, processes and addresses of ours, nothing that anybody sent.
TRUSTED = ("accounts", "api", "classes", "config", "curriculum", "planning")
TRUSTED += ("celery.apps", "celery.beat", "celery.worker")
KEPT_BY_NAME = ("name", "id", "runtime", "description")  # what a worker says of a task
EXTRA = ("method", "route", "status", "ms")
HIDDEN = "…"
SQLITE_CONSTRAINT = re.compile(r"(?:UNIQUE|CHECK|NOT NULL) constraint failed: ([\w., ]+)$")

request_id: ContextVar[str | None] = ContextVar("request_id", default=None)


class JsonLines(logging.Formatter):
    """The only way out of a process."""

    def format(self, record):
        line = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "said": said(record),
        }
        if request_id.get():
            line["request"] = request_id.get()
        line |= {key: getattr(record, key) for key in EXTRA if hasattr(record, key)}
        if record.exc_info and record.exc_info[1]:
            line["error"] = told(record.exc_info[1])
        return json.dumps(line, ensure_ascii=False)


def said(record: logging.LogRecord) -> str:
    """The message without anything that may have come from outside."""
    trusted = record.name.startswith(TRUSTED)
    if not isinstance(record.msg, str):
        return type(record.msg).__name__
    if not record.args:
        # Words without gaps may have been filled in before.
        return record.msg if trusted else f"{record.module}.{record.funcName}:{record.lineno}"
    try:
        if isinstance(record.args, Mapping):
            known = {key: record.args[key] for key in KEPT_BY_NAME if key in record.args}
            return record.msg % defaultdict(lambda: HIDDEN, known)
        return record.msg % tuple(_filled(one, trusted) for one in record.args)
    except (TypeError, ValueError):
        return record.msg


def _filled(one, trusted):
    if isinstance(one, BaseException):
        return type(one).__name__
    return one if trusted or isinstance(one, int) else HIDDEN


def told(error: BaseException) -> dict[str, object]:
    """Of an exception and what brought it about: classes, a constraint's name, places in code."""
    chain, one = [], error
    while one is not None and one not in chain:
        chain.append(one)
        one = one.__cause__ or one.__context__
    frames = traceback.extract_tb(error.__traceback__)
    line = {
        "classes": [f"{type(one).__module__}.{type(one).__qualname__}" for one in chain],
        "places": [f"{_short(frame.filename)}:{frame.lineno} {frame.name}" for frame in frames],
    }
    constraint = next(filter(None, map(_constraint, chain)), None)
    return line | ({"constraint": constraint} if constraint else {})


def _short(filename):
    path = Path(filename)
    return str(path.relative_to(ROOT)) if path.is_relative_to(ROOT) else path.name


def _constraint(error):
    named = getattr(getattr(error, "diag", None), "constraint_name", None)
    if named:
        return named
    found = SQLITE_CONSTRAINT.match(str(error)) if "sqlite3" in type(error).__module__ else None
    return found and found[1]


LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"json": {"()": JsonLines}},
    "handlers": {
        "lines": {
            "class": "logging.StreamHandler",
            "stream": "ext://sys.stderr",
            "formatter": "json",
        }
    },
    "root": {"handlers": ["lines"], "level": "INFO"},
    "loggers": {
        # Django hangs handlers of its own here; refusals stand in the line of each request.
        "django": {"handlers": [], "level": "INFO", "propagate": True},
        "django.request": {"level": "ERROR"},
        "django.server": {"handlers": [], "propagate": True},
        "gunicorn.error": {"handlers": [], "propagate": True},
        "gunicorn.access": {"handlers": [], "propagate": False},
        # What goes as it should, every few seconds.
        "celery.app.trace": {"level": "WARNING"},
        "celery.beat": {"level": "WARNING"},
        "celery.worker.strategy": {"level": "WARNING"},
    },
}
