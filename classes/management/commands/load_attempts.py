from accounts.commands import Refused, SchoolCommand, read_file
from accounts.faults import BadDocument
from accounts.tables import read_day
from classes import history, seen_before
from classes.classes import class_named


class Command(SchoolCommand):
    help = "Load tries of a class, or a grid of what it could already do."
    refusals = (BadDocument,)

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("file", help="a table as CSV or workbook, or - for standard input")
        parser.add_argument(
            "--class", dest="class_name", metavar="NAME", required=True, help="the class"
        )
        parser.add_argument(
            "--on", metavar="DATE", help="for a grid of what was seen before: the day of it"
        )
        parser.add_argument("--dry-run", action="store_true", help="check only")

    def run(self, scope, *, now, file, class_name, on, dry_run, **options):
        asked = {
            "content": read_file(file),
            "at": now,
            "klass": class_named(scope, name=class_name),
            "dry_run": dry_run,
        }
        if seen_before.is_grid(asked["content"]):
            what = "cell"
            loaded = seen_before.load(scope, on=_day(on), **asked)
        elif on is not None:
            raise Refused("--on: only for a grid of what was seen before; these rows have dates")
        else:
            what = "row"
            loaded = history.load(scope, **asked)
        self.stdout.write(f"columns: {loaded.mapping}")
        count = loaded.new + loaded.changed + loaded.standing
        self.stdout.write(
            f"{count} {what}{'' if count == 1 else 's'}: {loaded.new} new,"
            f" {loaded.changed} changed, {loaded.standing} known already"
        )
        if dry_run:
            self.stdout.write("dry run: nothing was loaded")
        elif not loaded.new + loaded.changed:
            self.stdout.write("nothing changed")


def _day(text):
    """The date of a grid. Raises `Refused`."""
    if text is None:
        raise Refused("--on: a grid needs the day on which this was so, such as --on 2026-03-02")
    day = read_day(text)
    if day is None:
        raise Refused(f"--on: “{text}” should be a date such as 2026-03-02")
    return day
