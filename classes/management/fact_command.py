"""The frame of the commands that load one file of facts."""

from collections.abc import Callable

from accounts.commands import SchoolCommand, read_file
from accounts.faults import BadDocument
from classes.classes import class_named
from classes.fact_files import Loaded


class FactCommand(SchoolCommand):
    """Subclasses name the function that loads; `class_help` where a class may or must be named."""

    load: Callable[..., Loaded]
    class_help: str | None = None
    class_required = False
    refusals = (BadDocument,)

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("file", help="a table as CSV or workbook, or - for standard input")
        parser.add_argument("--dry-run", action="store_true", help="check only")
        if self.class_help:
            parser.add_argument(
                "--class",
                dest="class_name",
                metavar="NAME",
                required=self.class_required,
                help=self.class_help,
            )

    def run(self, scope, *, now, file, dry_run, class_name=None, **options):
        asked = {"klass": class_named(scope, name=class_name)} if class_name else {}
        loaded = self.load(scope, content=read_file(file), at=now, dry_run=dry_run, **asked)
        self.stdout.write(f"columns: {loaded.mapping}")
        rows = loaded.new + loaded.changed + loaded.standing
        self.stdout.write(
            f"{rows} {'row' if rows == 1 else 'rows'}: {loaded.new} new,"
            f" {loaded.changed} changed, {loaded.standing} known already"
        )
        if dry_run:
            self.stdout.write("dry run: nothing was loaded")
        elif not loaded.new + loaded.changed:
            self.stdout.write("nothing changed")
