"""What the sign-in by django-allauth is told of this service."""

from allauth.account.adapter import DefaultAccountAdapter


class Adapter(DefaultAccountAdapter):
    """Nobody signs up by herself, and nobody is mailed: a head teacher invites."""

    def is_open_for_signup(self, request):
        return False

    def _get_login_attempts_cache_key(self, request, **credentials):
        # By the email alone, whoever knows a teacher's could keep her out from anywhere.
        return f"{credentials['email'].lower()} {self.get_client_ip(request)}"
