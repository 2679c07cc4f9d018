from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction
from django.utils.text import slugify

from accounts.commands import YEARS, Refused, SchoolCommand, day
from accounts.scope import Unknown
from classes.classes import class_named
from planning import evening, groups, kept_groups, says, tonight, why
from planning.asked import Typed, by_name
from planning.sheet import as_html, as_text

LONGEST_SLUG = 59  # characters; a file's name takes 255 bytes, and some letters take four


class Command(SchoolCommand):
    help = "Tonight's sheet of a class: who is ready for what, and groups with their reasons."

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("klass", metavar="CLASS")
        parser.add_argument(
            "--date", type=day, metavar="DATE", help="default: the class's next meeting"
        )
        for flag, text in (
            ("--absent", "children who are not here"),
            ("--not-today", "children who are here and not up for it; nobody asks why"),
            ("--visitor", "children of other classes who are here"),
            ("--spotters", "adults free to spot; whoever holds the list is not"),
            ("--skill", "skills to make groups for (key or name); default: the best suggestions"),
        ):
            parser.add_argument(flag, nargs="+", default=[], metavar="NAME", help=text)
        parser.add_argument("--surface", metavar="TEXT", help="the floor, if not the usual one")
        parser.add_argument("--mats", type=int, metavar="N")
        parser.add_argument("--minutes", type=int, metavar="N")
        parser.add_argument(
            "--as-of", metavar="TIME", help="judge as at this moment; default: the lesson's start"
        )
        parser.add_argument("--why", nargs=2, metavar=("STUDENT", "SKILL"), help="in sentences")
        parser.add_argument("--html", type=Path, metavar="FILE", help="where the page goes")
        parser.add_argument(
            "--keep", action="store_true", help="keep these groups; later changes are the least"
        )

    def run(self, scope, *, now, klass, date, **options):
        for name in ("mats", "minutes"):
            low, high = (0, 60) if name == "mats" else (10, 240)
            if options[name] is not None and not low <= options[name] <= high:
                raise Refused(f"--{name}: should be between {low} and {high}")
        if options["why"] and (options["keep"] or options["html"] or options["skill"]):
            raise Refused("--why: answers alone, without --keep, --html and --skill")
        view = class_named(scope, name=klass)
        on = date or evening.next_meeting(view, on=now.astimezone(ZoneInfo(view.zone)).date())
        typed = Typed(
            on=on,
            absent=tuple(options["absent"]),
            not_today=tuple(options["not_today"]),
            visitors=tuple(options["visitor"]),
            spotters=tuple(options["spotters"]),
            mats=options["mats"],
            minutes=options["minutes"],
            surface=options["surface"] or None,
            as_of=_moment(options["as_of"], view.zone),
        )
        asked = by_name(scope, klass=view, typed=typed)
        tonights = evening.load(scope, klass=view, asked=asked)
        if options["why"]:
            self.stdout.write(why.explain(scope, tonights, *options["why"]))
            return
        if options["keep"] and tonights.closed:
            raise Refused(f"--keep: no lesson on {on}: {tonights.closed}")
        sheet, proposals = tonight.make_sheet(
            tonights,
            skills=tuple(_skill(tonights, name) for name in options["skill"]),
            before=kept_groups.standing(scope, lesson_id=tonights.lesson.id),
        )
        path = options["html"] or _page(options["school"], klass, on)
        # A page that cannot be written undoes the keeping: a refusal changes nothing.
        with transaction.atomic():
            if options["keep"]:
                groups.keep(scope, tonights, proposals=proposals, at=now)
            _write(path, as_html(sheet))
        self.stdout.write(as_text(sheet))
        if note := says.private_note(tonights):
            self.stdout.write(note)
        if options["keep"]:
            self.stdout.write("kept: a later sheet for this lesson changes as little as possible")
        self.stdout.write(f"\nThe same as a page: {path}")


def _page(school, klass, on):
    """Where a sheet goes by itself: a folder for each school, a file for each lesson."""
    named = [slugify(name, allow_unicode=True)[:LONGEST_SLUG] for name in (school, klass)]
    return settings.VAR_DIR / "sheets" / (named[0] or "school") / f"{named[1] or 'class'}-{on}.html"


def _skill(tonights, name):
    try:
        return tonights.edition.find(name)
    except Unknown as error:
        raise Refused(f"--skill: {error}") from None


def _write(path, page):
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(page, encoding="utf-8")
    except OSError as error:
        raise Refused(f"--html: {path}: {error.strerror}") from None


def _moment(text, zone):
    """A moment as typed; without an offset it is the studio's own time."""
    if text is None:
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        moment = None
    if moment is None or moment.year not in YEARS:
        raise Refused(f"--as-of: “{text}” should be a date and time, such as 2026-03-02T17:00")
    return moment if moment.tzinfo else moment.replace(tzinfo=ZoneInfo(zone))
