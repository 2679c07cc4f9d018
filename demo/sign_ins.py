"""How to sign in at the demo school. Everybody knows the passphrase: it is for trying out."""

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings

from accounts import sign_in
from accounts.models import Account
from accounts.scope import scope_of
from demo import files

PASSPHRASE = "four kettles by the harbour"  # noqa: S105, no secret: it is printed
EMAILS = {
    files.HEAD: "marit@orrowmere.example",
    files.TEACHER: "tendai@orrowmere.example",
    files.ASSISTANT: "aroha@orrowmere.example",
}


@dataclass(frozen=True)
class SignIn:
    name: str
    role: str
    email: str


def give(*, at: datetime) -> list[SignIn]:
    """This will let the three sign in where this machine alone may ask; how they do.

    Whoever has a password already keeps it. Where others may ask too nobody signs in any more with
    what everybody knows, and nobody is named.
    """
    if not settings.THIS_MACHINE.issuperset(settings.ALLOWED_HOSTS):
        for account in Account.objects.filter(email__in=EMAILS.values()):
            if account.check_password(PASSPHRASE):
                account.set_unusable_password()
                account.save(update_fields=["password"])
        return []
    return [_given(name, email, at) for name, email in EMAILS.items()]


def _given(name, email, at):
    scope = scope_of(school=files.SCHOOL, member=name, on=at.date())
    account = Account.objects.filter(email=email).first()
    if account is None or not account.has_usable_password():
        sign_in.give(
            scope,
            member_id=scope.member_id,
            email=email,
            password=PASSPHRASE,
            at=at,
            by_operator=True,
        )
    return SignIn(name, scope.role.replace("_", " "), email)
