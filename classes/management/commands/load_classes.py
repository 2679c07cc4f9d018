from accounts.commands import SchoolCommand, read_file
from accounts.faults import BadDocument
from classes import timetable


class Command(SchoolCommand):
    help = "Load studios, terms, closures, weekly classes and policy."
    refusals = (BadDocument,)

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("file", help="a file of the format classes/1, or - for standard input")
        parser.add_argument("--dry-run", action="store_true", help="check only")

    def run(self, scope, *, now, file, dry_run, **options):
        # Whoever writes a policy into a file has its page of the format before her.
        loaded = timetable.load(
            scope, content=read_file(file), at=now, confirmed=True, dry_run=dry_run
        )
        for said, labels in (("new", loaded.new), ("changed", loaded.changed)):
            for label in labels:
                self.stdout.write(f"{said}: {label}")
        self.stdout.write(
            f"{len(loaded.new)} new, {len(loaded.changed)} changed, {loaded.standing} known already"
        )
        if loaded.lessons:
            self.stdout.write(f"coming lessons that start at another moment now: {loaded.lessons}")
        for name in loaded.adopted:
            self.stdout.write(f"curriculum in use at {name}: the newest edition")
        if dry_run:
            self.stdout.write("dry run: nothing was loaded")
        elif not (loaded.new or loaded.changed or loaded.adopted):
            self.stdout.write("nothing changed")
