"""Whether this process answers, and whether it can do its work: for whoever starts and stops it."""

from functools import cache

from django.db import Error, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from api.base import View
from api.errors import RETRY_SECONDS, problem


class Open(View):
    """Asked by machines at the root, without a token; it tells nothing of anybody."""

    authentication_classes = ()
    permission_classes = ()


class Alive(Open):
    @extend_schema(exclude=True)
    def get(self, request):
        return Response({"alive": True})


class Ready(Open):
    @extend_schema(exclude=True)
    def get(self, request):
        missing = _why_not()
        if missing:
            return problem(503, missing, headers={"Retry-After": str(RETRY_SECONDS)})
        return Response({"ready": True})


def _why_not():
    try:
        applied = MigrationRecorder(connection).applied_migrations()
    except Error:
        connection.close()
        return "The database cannot be reached."
    return "" if _newest() <= applied.keys() else "Migrations are missing: run `migrate`."


@cache
def _newest():
    """The last migrations of the code, which stays as it is while the process runs."""
    return frozenset(MigrationLoader(None).graph.leaf_nodes())


urls = [
    path("livez", Alive.as_view(), name="livez"),
    path("readyz", Ready.as_view(), name="readyz"),
]
