"""Who asks: the member for whom a token was issued."""

from knox.auth import TokenAuthentication
from rest_framework.exceptions import AuthenticationFailed

from accounts.scope import SignedOut, scope_of_member


class MemberAuthentication(TokenAuthentication):
    """`request.auth` becomes the scope of the token's member, `request.user` her account."""

    def authenticate(self, request):
        self._view = request.parser_context["view"]
        return super().authenticate(request)

    def authenticate_credentials(self, token):
        try:
            account, found = super().authenticate_credentials(token)
        except UnicodeDecodeError:
            raise AuthenticationFailed("Invalid token.") from None
        try:
            scope = scope_of_member(
                member_id=found.member_id,
                now=self._view.now,
                late=getattr(self._view, "late_members", False),
            )
        except SignedOut as error:
            raise AuthenticationFailed(str(error)) from None
        return account, scope
