from django.utils import timezone

from accounts.commands import PlainCommand, Refused
from accounts.schools import CannotBegin, begin


class Command(PlainCommand):
    help = "Begin a school: its name, and its first head teacher."

    def add_arguments(self, parser):
        parser.add_argument("name", help="the school's name")
        parser.add_argument(
            "--head", required=True, metavar="NAME", help="the head teacher, such as “Marit O.”"
        )

    def handle(self, *args, name, head, **options):
        try:
            is_new = begin(name=name, head=head, at=timezone.now())
        except CannotBegin as error:
            raise Refused(str(error)) from None
        name, head = name.strip(), head.strip()
        if is_new:
            self.stdout.write(f"“{name}” begins, with {head} as its head teacher")
        else:
            self.stdout.write(f"“{name}” stands already, with {head}: nothing changed")
