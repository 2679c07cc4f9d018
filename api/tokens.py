"""Tokens: with which a program asks as one of the staff."""

from django.urls import path
from rest_framework.authentication import get_authorization_header
from rest_framework.response import Response

from accounts import tokens
from api.authentication import TokenMember
from api.base import View
from api.fields import Document, Text
from api.schema import takes


class Token(Document):
    token = Text(help_text="Shown this once; send it as “Authorization: Token …”.")


class MemberTokens(View):
    @takes(answers=Token, status=201, also=[409])
    def post(self, request, member):
        """A new token for ninety days: a head teacher for anyone, others for themselves."""
        text = tokens.issue(self.scope, member_id=member, at=self.now)
        return self.answer(Token, {"token": text}, status=201)

    @takes(status=204)
    def delete(self, request, member):
        """End all her tokens at once."""
        tokens.withdraw(self.scope, member_id=member, at=self.now)
        return Response(status=204)


class CurrentToken(View):
    authentication_classes = [TokenMember]

    @takes(status=204)
    def delete(self, request):
        """Sign out: end the token that asks."""
        _, text = get_authorization_header(request).split()
        tokens.sign_out(self.scope, text=text.decode(), at=self.now)
        return Response(status=204)


urls = [
    path("staff/<uuid:member>/tokens", MemberTokens.as_view(), name="member-tokens"),
    path("tokens/current", CurrentToken.as_view(), name="token-current"),
]
