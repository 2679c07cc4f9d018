from accounts import staff, tokens
from accounts.commands import SchoolCommand
from accounts.scope import Conflict


class Command(SchoolCommand):
    help = "Print a token with which a program may ask as one of the staff, this once."
    refusals = (Conflict,)

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("name", help="for whom, such as “Tendai R.”")
        parser.add_argument(
            "--withdraw", action="store_true", help="end all tokens of hers at once instead"
        )

    def run(self, scope, *, now, name, withdraw, **options):
        member = staff.member_named(scope, name=name, at=now)
        if withdraw:
            count = tokens.withdraw(scope, member_id=member.id, at=now)
            self.stdout.write(f"tokens of {member.name} that were withdrawn: {count}")
        else:
            self.stdout.write(tokens.issue(scope, member_id=member.id, at=now))
