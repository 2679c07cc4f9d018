import io
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.utils import timezone

from accounts.commands import PlainCommand
from accounts.models import School
from accounts.names import alphabetical
from accounts.scope import scope_of
from accounts.tokens import issue
from classes import lessons
from classes.classes import class_named
from curriculum import adoptions, editions
from curriculum.checks import curriculum_of
from demo import files, second_edition, sign_ins
from demo.term import CLASSES, TUESDAY_CLASS, lesson_day, tuesday

CURRICULUM = Path(__file__).parents[2] / "curriculum.yaml"
MATS = 3
ADDRESS = "http://127.0.0.1:8000"  # where `serve` listens unless told otherwise
SIGN_IN = """
Open {url} and sign in with the passphrase “{passphrase}”;
everybody knows it, so it is for trying out on this machine alone:"""
NO_SIGN_IN = "Others than this machine may ask here: nobody signs in at the demo school."
OWN = """{here}. A school of your own begins with

  .venv/bin/python manage.py new_school "Your school" --head "Your name"
  .venv/bin/python manage.py sign_in --school "Your school" --member "Your name" --email EMAIL

and goes on as README.md says under “Ten minutes with your own files”."""


class Command(PlainCommand):
    help = "Load the demo school into an empty database, then show tonight's sheet of its class."

    def add_arguments(self, parser):
        which = parser.add_mutually_exclusive_group()
        which.add_argument("--none", action="store_true", help="load nothing, say how to begin")
        which.add_argument(
            "--calls",
            metavar="URL",
            nargs="?",
            const=ADDRESS,
            help=f"print how each role signs in and asks at this address, or at {ADDRESS}",
        )

    def handle(self, *args, none, calls, **options):
        if calls:
            self._calls(calls)
            return
        if none:
            self.stdout.write(OWN.format(here=_who_is_here()))
            return
        today = timezone.localdate()
        if not School.objects.exists():
            self._load(today)
        if not School.objects.filter(name=files.SCHOOL).exists():
            self.stdout.write("Another school lives here: the demo is for an empty database.")
            return
        call_command(
            "tonight",
            TUESDAY_CLASS,
            school=files.SCHOOL,
            member=files.TEACHER,
            date=files.tonight_for(today),
            absent=["Rangi", "Sunniva"],
            spotters=[files.ASSISTANT],
            mats=MATS,
            stdout=self.stdout,
        )

    def _calls(self, url):
        """A new token for each role: only hashes of those from earlier are left."""
        if not School.objects.filter(name=files.SCHOOL).exists():
            return
        now = timezone.now()
        given = sign_ins.give(at=now)
        if given:
            self.stdout.write(SIGN_IN.format(url=url, passphrase=sign_ins.PASSPHRASE))
            for one in given:
                self.stdout.write(f"  {one.email:<26} {one.name}, {one.role}")
        else:
            self.stdout.write(f"{NO_SIGN_IN}\n")
        self.stdout.write("Each role with a token of its own:")
        for name in (files.HEAD, files.TEACHER, files.ASSISTANT):
            scope = scope_of(school=files.SCHOOL, member=name, on=now.date())
            token = issue(scope, member_id=scope.member_id, at=now)
            self.stdout.write(
                f"  # {name}, {scope.role.replace('_', ' ')}\n"
                f'  curl -H "Authorization: Token {token}" {url}/api/v1/me'
            )

    def _load(self, today):
        """The files go in through the same commands as anybody's own."""
        folder = settings.VAR_DIR / "demo"
        first = editions.read_curriculum(CURRICULUM.read_bytes())
        second = curriculum_of(second_edition.second(first.document))
        files.write(folder, second.cards | first.cards, today=today)
        self.stdout.write(f"Loading the demo school; its files are in {folder}")

        quiet = io.StringIO()

        def load(command, *args, **options):
            call_command(
                command, *args, school=files.SCHOOL, member=files.HEAD, stdout=quiet, **options
            )

        call_command("new_school", files.SCHOOL, head=files.HEAD, stdout=quiet)
        load("load_classes", str(folder / "classes.yaml"))
        load("load_staff", str(folder / "staff.csv"))
        _publish(first, second, tonight=files.tonight_for(today))
        for name in CLASSES:
            for path in sorted(folder.glob(f"roster {name} *.csv")):
                load("load_roster", str(path), class_name=name)
        load("load_attendance", str(folder / "attendance.csv"), class_name=TUESDAY_CLASS)
        for name in CLASSES:
            load("load_attempts", str(folder / f"tries {name}.csv"), class_name=name)
        for fact in ("restrictions", "yeses", "pair_checks", "wishes", "falls"):
            named = {"class_name": TUESDAY_CLASS} if fact in ("yeses", "pair_checks") else {}
            load(f"load_{fact}", str(folder / f"{fact}.csv"), **named)
        _prepare(files.tonight_for(today))


def _publish(first, second, *, tonight):
    """Each edition on its day of the term: the command would publish it today."""
    scope = scope_of(school=files.SCHOOL, member=files.HEAD, on=tonight)
    before = _morning(tuesday(tonight, 1) - timedelta(weeks=1))
    editions.publish(scope, curriculum=first, at=before)
    editions.adopt_first(scope, at=before)
    at = _morning(tuesday(tonight, second_edition.WEEK) - timedelta(days=1))
    number = editions.publish(scope, curriculum=second, at=at).number
    studios = editions.studios(scope)
    for name, klass in second_edition.ADOPTED.items():
        from_date = lesson_day(tonight, klass, second_edition.WEEK)
        editions.adopt(scope, studio_id=studios[name], number=number, from_date=from_date, at=at)
    adoptions.hold_back(
        scope,
        studio_id=studios[second_edition.HELD_BACK],
        number=number,
        reason=second_edition.REASON,
        at=at,
    )


def _prepare(on):
    """Who spots and on how many mats, as the sheet says; who is here stays for trying it out."""
    scope = scope_of(school=files.SCHOOL, member=files.TEACHER, on=on)
    spotter = scope_of(school=files.SCHOOL, member=files.ASSISTANT, on=on).member_id
    lesson_id = lessons.lesson_id(class_named(scope, name=TUESDAY_CLASS).id, on)
    said = {"spotters": (spotter,), "mats": MATS}
    lessons.change(scope, lesson_id=lesson_id, said=said, at=timezone.now())


def _morning(on):
    return datetime.combine(on, time(10), UTC)


def _who_is_here():
    names = sorted(School.objects.values_list("name", flat=True), key=alphabetical)
    if not names:
        return "Nothing is loaded yet"
    return f"Here already: {', '.join(f'“{name}”' for name in names)}"
