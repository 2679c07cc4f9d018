"""What the management commands share: who asks, the file, and how a refusal is said.

A command refuses with exit status 2 and plain lines on standard error; nothing has changed then.
"""

import sys
from argparse import ArgumentTypeError
from datetime import date
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, ProgrammingError, connection
from django.utils import timezone

from accounts.faults import BadDocument
from accounts.scope import NotAllowed, Unknown, scope_of

MAX_FILE_BYTES = 20_000_000
YEARS = range(1900, 2200)  # what a calendar of lessons may speak of


class Refused(CommandError):
    """Bad input: the text says what to mend."""

    def __init__(self, message: str) -> None:
        super().__init__(message, returncode=2)


def read_file(name: str) -> bytes:
    """The bytes of a file, `-` being standard input. Raises `Refused`."""
    # Neither a pipe nor a device knows its size beforehand: one byte too many tells.
    most = MAX_FILE_BYTES + 1
    try:
        if name == "-":
            content = sys.stdin.buffer.read(most)
        else:
            with Path(name).open("rb") as file:
                content = file.read(most)
    except OSError as error:
        raise Refused(f"{name}: {error.strerror}") from None
    if len(content) == most:
        raise Refused(f"{name}: larger than {MAX_FILE_BYTES // 1_000_000} MB")
    return content


def day(text: str) -> date:
    """A date as an argument of a command, such as 2026-03-02. Raises `ArgumentTypeError`."""
    try:
        on = date.fromisoformat(text)
    except ValueError:
        on = None
    if on is None or on.year not in YEARS:
        raise ArgumentTypeError(f"“{text}” should be a date such as 2026-03-02")
    return on


class PlainCommand(BaseCommand):
    """A command that refuses wrong arguments, and a database without tables, in one line.

    Called from Python it raises `Refused` instead.
    """

    def create_parser(self, prog_name, subcommand, **kwargs):
        parser = super().create_parser(prog_name, subcommand, **kwargs)
        # The parser's class is Django's choice; it would print the usage before the message.
        parser.error = self._refuse_arguments
        return parser

    def execute(self, *args, **options):
        try:
            return super().execute(*args, **options)
        except (OperationalError, ProgrammingError):
            if "school" in connection.introspection.table_names():
                raise
            raise Refused("the database has no tables yet: run `manage.py migrate`") from None

    def _refuse_arguments(self, message):
        refused = Refused(" ".join(message.splitlines()))
        if not self._called_from_command_line:
            raise refused
        self.stderr.write(f"{type(refused).__name__}: {refused}")
        sys.exit(refused.returncode)


class SchoolCommand(PlainCommand):
    """A command of one school, run as one of its staff.

    Subclasses write `run(scope, *, now, **options)` and name the exceptions that are refusals.
    """

    refusals: tuple[type[Exception], ...] = ()

    def add_arguments(self, parser):
        parser.add_argument("--school", required=True, metavar="NAME", help="the school's name")
        parser.add_argument(
            "--as", required=True, dest="member", metavar="NAME", help="who of the staff asks"
        )

    def handle(self, *args, **options):
        now = timezone.now()
        try:
            scope = scope_of(school=options["school"], member=options["member"], on=now.date())
            self.run(scope, now=now, **options)
        except BadDocument as error:
            raise Refused(f"nothing was loaded\n{error}") from None
        except (NotAllowed, Unknown, *self.refusals) as error:
            raise Refused(str(error)) from None
