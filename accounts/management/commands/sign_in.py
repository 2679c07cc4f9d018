import sys
from getpass import getpass

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils import timezone

from accounts import sign_in
from accounts.commands import PlainCommand, Refused
from accounts.faults import BadDocument
from accounts.scope import Unknown, scope_of


class Command(PlainCommand):
    help = "Let one of the staff sign in with an email; the password is asked for, or read."

    def add_arguments(self, parser):
        parser.add_argument("--school", required=True, metavar="NAME", help="the school's name")
        parser.add_argument("--member", required=True, metavar="NAME", help="who signs in with it")
        parser.add_argument("--email", required=True, help="the email with which she signs in")

    def handle(self, *args, school, member, email, **options):
        now = timezone.now()
        try:
            validate_email(email)
            scope = scope_of(school=school, member=member, on=now.date())
            sign_in.give(
                scope,
                member_id=scope.member_id,
                email=email,
                password=_password(),
                at=now,
                by_operator=True,
            )
        except ValidationError:
            raise Refused(f"--email: “{email}” is not an email") from None
        except BadDocument as error:
            raise Refused(" ".join(fault.message for fault in error.faults)) from None
        except (Unknown, sign_in.Taken) as error:
            raise Refused(str(error)) from None
        self.stdout.write(f"{member} signs in with {email.lower()}")


def _password():
    """Never an argument, which every process of the machine could read."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().strip()
    password = getpass("Password, twelve characters or more: ").strip()
    if getpass("Once more: ").strip() != password:
        raise Refused("the two passwords are not alike")
    return password
