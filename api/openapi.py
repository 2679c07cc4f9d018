"""The contract of this very service, for whoever has a token."""

from functools import cache

from django.urls import path
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.types import OpenApiTypes

from api.base import View
from api.schema import takes


@cache
def contract():
    return SchemaGenerator().get_schema(request=None, public=True)


class Contract(View):
    @takes(answers=OpenApiTypes.OBJECT, cached=True)
    def get(self, request):
        """This contract."""
        return self.answer_cached(contract())


urls = [path("openapi", Contract.as_view(), name="openapi")]
