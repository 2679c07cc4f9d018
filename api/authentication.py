"""Who asks: the member for whom a token was issued, or the one who signed in with a browser."""

from uuid import UUID

from knox.auth import TokenAuthentication
from rest_framework.authentication import BaseAuthentication, CSRFCheck
from rest_framework.exceptions import AuthenticationFailed

from accounts import sessions
from accounts.scope import SignedOut
from accounts.sign_in import OtherMember, scope_of_account
from accounts.tokens import holder
from api.errors import NotOurPage


class TokenMember(TokenAuthentication):
    """`request.auth` becomes the scope of the token's member, `request.user` her account."""

    def authenticate(self, request):
        self._view = request.parser_context["view"]
        return super().authenticate(request)

    def authenticate_credentials(self, token):
        try:
            return holder(
                text=token.decode("utf-8", "replace"),
                now=self._view.now,
                late=getattr(self._view, "late_members", False),
            )
        except SignedOut as error:
            raise AuthenticationFailed(str(error)) from None


class SessionAccount(BaseAuthentication):
    """`request.user` becomes the account that a browser has signed in; it asks for nobody yet."""

    def authenticate(self, request):
        account = request._request.user
        if not account.is_authenticated:
            return None
        check = CSRFCheck(lambda request: None)
        check.process_request(request)
        if check.process_view(request, None, (), {}) is not None:
            raise NotOurPage()
        sessions.slide(request._request.session, now=request.parser_context["view"].now)
        return account, None

    def authenticate_header(self, request):
        return TokenMember().authenticate_header(request)


class SessionMember(SessionAccount):
    """The same, and `request.auth` becomes the scope of the member whom `X-Member` names.

    A view may let its address say so instead (`member_in_address`).
    """

    def authenticate(self, request):
        found = super().authenticate(request)
        if found is None:
            return None
        view = request.parser_context["view"]
        account, _ = found
        return account, scope_of_account(
            account_id=account.id,
            member_id=_named(request, in_address=getattr(view, "member_in_address", False)),
            now=view.now,
            late=getattr(view, "late_members", False),
        )


def _named(request, *, in_address):
    said = request.headers.get("X-Member")
    if said is None and in_address:
        said = request.query_params.get("member")
    try:
        return None if said is None else UUID(said)
    except ValueError:
        raise OtherMember("X-Member is not the id of a member.") from None
