"""Invitations: the way to sign in, or to a first token."""

from django.urls import path
from rest_framework import serializers

from accounts import invitations
from api.base import View
from api.fields import Document, Email, Moment, Password, Text
from api.schema import takes
from api.throttling import NETWORK


class Invitation(Document):
    secret = Text(help_text="Shown this once; hand it to her, as /invitation#secret.")
    expires_at = Moment()


class Acceptance(Document):
    secret = Text(max_length=200)
    email = Email(required=False, help_text="To sign in with; then with a password.")
    password = Password(required=False, help_text="Twelve characters or more, none of the usual.")

    def validate(self, said):
        for one, other in (("email", "password"), ("password", "email")):
            if one in said and other not in said:
                error = serializers.ErrorDetail(f"It goes with {one}.", "required")
                raise serializers.ValidationError({other: error})
        return said


class Accepted(Document):
    token = Text(required=False, help_text="Shown this once, where no email was sent.")
    email = Text(required=False, help_text="With which to sign in from now on.")


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

    @takes(body=Acceptance, answers=Accepted, status=201)
    def post(self, request):
        """Use an invitation up: with an email and a password to sign in with, else for a token;
        before her first day it asks from then on. An invitation that was used, has run out or is
        void is answered like one that never was, and so is an email that is somebody else's: one
        that is known here goes with the password that it has."""
        said = self.read(Acceptance)
        if "email" in said:
            invitations.accept_sign_in(at=self.now, **said)
            return self.answer(Accepted, {"email": said["email"].lower()}, status=201)
        return self.answer(Accepted, {"token": invitations.accept(at=self.now, **said)}, status=201)


urls = [
    path("staff/<uuid:member>/invitations", MemberInvitations.as_view(), name="member-invitations"),
    path("invitations/accept", AcceptedInvitation.as_view(), name="invitation-accept"),
]
