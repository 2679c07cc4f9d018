from accounts.commands import SchoolCommand, read_file
from accounts.faults import BadDocument
from classes import roster
from classes.classes import class_named


class Command(SchoolCommand):
    help = "Load a class list: children, their places, heights, agreements."
    refusals = (BadDocument,)

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("file", help="a table as CSV or workbook, or - for standard input")
        parser.add_argument(
            "--class", dest="class_name", metavar="NAME", help="the class, where no column says it"
        )
        parser.add_argument(
            "--confirm",
            type=int,
            action="append",
            default=[],
            metavar="ROW",
            help="what is asked about this row has been looked at and is meant (repeatable)",
        )
        parser.add_argument("--dry-run", action="store_true", help="check only")

    def run(self, scope, *, now, file, class_name, confirm, dry_run, **options):
        loaded = roster.load(
            scope,
            content=read_file(file),
            at=now,
            klass=class_named(scope, name=class_name) if class_name else None,
            confirmed=confirm,
            dry_run=dry_run,
        )
        self.stdout.write(f"columns: {loaded.mapping}")
        for remark in loaded.remarks:
            self.stdout.write(remark)
        if loaded.new:
            self.stdout.write(f"new: {', '.join(loaded.new)}")
        for line in loaded.changed:
            self.stdout.write(f"changed: {line}")
        self.stdout.write(
            f"{len(loaded.new)} new, {len(loaded.changed)} changed, {loaded.standing} known already"
        )
        if loaded.absent:
            self.stdout.write(f"not in this list, left as they are: {', '.join(loaded.absent)}")
        if dry_run:
            self.stdout.write("dry run: nothing was loaded")
        elif not loaded.new and not loaded.changed:
            self.stdout.write("nothing changed")
