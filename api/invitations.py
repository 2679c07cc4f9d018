"""Invitations: the way to a first token."""

from django.urls import path

from accounts import invitations
from api.base import View
from api.fields import Document, Moment, Text
from api.schema import takes
from api.throttling import NETWORK
from api.tokens import Token


class Invitation(Document):
    secret = Text(help_text="Shown this once; hand it to her.")
    expires_at = Moment()


class Acceptance(Document):
    secret = Text(max_length=200)


class MemberInvitations(View):
    @takes(answers=Invitation, status=201, also=[409])
    def post(self, request, member):
        """Invite one of the staff; an earlier invitation of hers ends. A teacher invites whoever
        has never had a token, with no role above hers and no studio that is not hers."""
        found = invitations.invite(self.scope, member_id=member, at=self.now)
        return self.answer(Invitation, found, status=201)


class AcceptedInvitation(View):
    authentication_classes = []
    permission_classes = []
    throttle_by = NETWORK

    @takes(body=Acceptance, answers=Token, status=201)
    def post(self, request):
        """Use an invitation up, and get a token for it; before her first day it asks from then on.
        An invitation that was used, has run out or is void is answered like one that never was."""
        text = invitations.accept(at=self.now, **self.read(Acceptance))
        return self.answer(Token, {"token": text}, status=201)


urls = [
    path("staff/<uuid:member>/invitations", MemberInvitations.as_view(), name="member-invitations"),
    path("invitations/accept", AcceptedInvitation.as_view(), name="invitation-accept"),
]
