"""Who asks."""

from django.urls import path
from rest_framework import serializers

from accounts import staff
from accounts.staff_rows import STAFF_ROLES
from api.base import View
from api.fields import Day, Document, Flag, Id, Key, OneOf, Text
from api.schema import takes


class Me(Document):
    school = Id(source="school_id")
    school_name = Text()
    one_studio = Flag(help_text="With one studio nobody needs to meet the word.")
    member = Id(source="member.id")
    name = Text(source="member.name")
    role = OneOf(STAFF_ROLES, source="member.role")
    studios = serializers.ListField(child=Id(), source="member.studio_ids")
    may_spot = serializers.ListField(child=Key(), source="member.may_spot")
    until = Day(source="member.until", allow_null=True)


class Myself(View):
    @takes(answers=Me)
    def get(self, request):
        """The member who asks, and her school."""
        return self.answer(Me, staff.myself(self.scope, at=self.now))


urls = [path("me", Myself.as_view(), name="me")]
