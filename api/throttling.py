"""How often one may write: counted in the database, so that every web process sees it."""

from datetime import timedelta

from rest_framework.throttling import BaseThrottle

from accounts import rates

MEMBER, ACCOUNT, NETWORK = "member", "account", "network"
A_MINUTE = {MEMBER: 600, ACCOUNT: 60, NETWORK: 10}
READING = ("GET", "HEAD", "OPTIONS")


class Throttle(BaseThrottle):
    """Counts requests that change something; a view may set a lower `a_minute`."""

    def allow_request(self, request, view):
        if request.method in READING:
            return True
        self._now = view.now
        if view.throttle_by == NETWORK:
            who = f"network {request.META.get('REMOTE_ADDR', '')} {view.__class__.__name__}"
        elif view.throttle_by == ACCOUNT:
            who = f"account {request.user.pk} {view.__class__.__name__}"
        else:
            who = f"member {request.auth.member_id} {view.__class__.__name__}"
        most = getattr(view, "a_minute", A_MINUTE[view.throttle_by])
        return rates.count(who=who, now=view.now) <= most

    def wait(self):
        following = self._now.replace(second=0, microsecond=0) + timedelta(minutes=1)
        return (following - self._now).total_seconds()
