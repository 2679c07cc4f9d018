"""The browser's session: who is signed in, and for whom she may ask."""

from django.middleware.csrf import get_token
from django.urls import path
from rest_framework.permissions import IsAuthenticatedOrReadOnly

from accounts import sessions, sign_in
from accounts.staff_rows import STAFF_ROLES
from api.authentication import SessionAccount
from api.base import View
from api.fields import Day, Document, Flag, Id, OneOf, Text
from api.schema import takes
from api.throttling import ACCOUNT


class Membership(Document):
    member = Id(source="member_id", help_text="Send it back as X-Member.")
    name = Text()
    role = OneOf(STAFF_ROLES)
    school = Id(source="school_id")
    school_name = Text()
    until = Day(allow_null=True, help_text="The last day of a cover teacher.")
    ended = Flag(help_text="Then she can hand in what she has left, and no more.")


class Beginning(Document):
    school_name = Text()
    vars()["from"] = Day(source="from_date")


class Session(Document):
    signed_in = Flag()
    email = Text(allow_null=True)
    members = Membership(many=True, help_text="For whom she may ask, by school and name.")
    coming = Beginning(many=True, help_text="Schools for which she may ask from a later day on.")


class SessionChange(Document):
    stay = Flag(help_text="For four weeks without a request, else for twelve hours.")


class BrowserSession(View):
    authentication_classes = [SessionAccount]
    permission_classes = [IsAuthenticatedOrReadOnly]
    throttle_by = ACCOUNT

    @takes(answers=Session)
    def get(self, request):
        """Who is signed in with this browser, if anybody. Sets the cookie of the CSRF token."""
        get_token(request._request)
        return self._answer(request.user)

    @takes(body=SessionChange, answers=Session)
    def put(self, request):
        """Say, once signed in, how long this browser stays so while it is not used."""
        said = self.read(SessionChange)
        sessions.stay(request._request.session, stays=said["stay"], now=self.now)
        return self._answer(request.user)

    def _answer(self, account):
        said = {"account_id": account.id, "now": self.now} if account else None
        found = {
            "signed_in": account is not None,
            "email": account.email if account else None,
            "members": sign_in.memberships(**said) if said else (),
            "coming": sign_in.beginnings(**said) if said else (),
        }
        return self.answer(Session, found)


urls = [path("session", BrowserSession.as_view(), name="session")]
