from django.core.management.base import CommandError

from accounts.commands import SchoolCommand
from classes import replay


class Command(SchoolCommand):
    help = "Bring beliefs up to date with the log, or compare those kept with a full replay."

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument(
            "--check",
            action="store_true",
            help="change nothing; exit status 1 if a belief that counts as fresh is not the log's",
        )

    def run(self, scope, *, now, check, **options):
        if not check:
            try:
                done = replay.refresh(scope)
            except replay.NotRefreshed as error:
                raise CommandError(f"not brought up to date: {error}", returncode=1) from error
            self.stdout.write(f"{done} {'child' if done == 1 else 'children'} brought up to date")
            return
        checked = replay.check(scope)
        self.stdout.write(
            f"{checked.children} children compared, {checked.stale} to be brought up to date"
        )
        if checked.differences:
            raise CommandError("\n".join(map(str, checked.differences)), returncode=1)
