from accounts import staff
from accounts.commands import SchoolCommand, read_file
from accounts.faults import BadDocument


class Command(SchoolCommand):
    help = "Load the staff: roles, studios, who may spot what, from when until when."
    refusals = (BadDocument,)

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("file", help="a table as CSV or workbook, or - for standard input")
        parser.add_argument("--dry-run", action="store_true", help="check only")

    def run(self, scope, *, now, file, dry_run, **options):
        loaded = staff.load(scope, content=read_file(file), at=now, dry_run=dry_run)
        self.stdout.write(f"columns: {loaded.mapping}")
        for said, names in (("new", loaded.new), ("changed", loaded.changed)):
            if names:
                self.stdout.write(f"{said}: {', '.join(names)}")
        self.stdout.write(
            f"{len(loaded.new)} new, {len(loaded.changed)} changed, {loaded.standing} known already"
        )
        if loaded.absent:
            self.stdout.write(f"not in this file, left as they are: {', '.join(loaded.absent)}")
        if dry_run:
            self.stdout.write("dry run: nothing was loaded")
        elif not loaded.new and not loaded.changed:
            self.stdout.write("nothing changed")
