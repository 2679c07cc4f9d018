"""A teacher's yes: given, listed with what has become of it, taken back on its day."""

from django.urls import path
from rest_framework.response import Response

from api.base import View
from api.facts import EnteredRows, FactView, rows_of
from api.fields import Day, Document, Id, Key, OneOf, Text
from api.schema import takes
from classes import yeses
from classes.named import ROLES


class NewYes(Document):
    student = Id()
    skill = Key()
    role = OneOf(ROLES)
    kind = OneOf(yeses.YES_KINDS)
    given_on = Day(help_text="The local date; of an evening's yes the lesson's.")
    lesson = Id(required=False, allow_null=True, help_text="For that evening only.")


class Yes(Document):
    id = Id()
    student = Id()
    skill = Key()
    role = OneOf(ROLES)
    kind = OneOf(yeses.YES_KINDS)
    given_on = Day()
    lesson = Id(allow_null=True)
    by = Text(help_text="Who gave it.")
    ran_out = Text(allow_null=True, help_text="Why it does not hold; null while it does.")


class YesQuery(Document):
    student = Id(required=False, source="student_id")
    skill = Key(required=False)
    lesson = Id(required=False, source="lesson_id", help_text="Judged as of that lesson.")


NewYeses = rows_of(NewYes)


class Yeses(FactView):
    @takes(query=YesQuery, answers=Yes, paged=True)
    def get(self, request):
        """The yeses in sight, those that ran out too, by the day on which they were given."""
        found = yeses.listed(self.scope, at=self.now, **self.asked(YesQuery))
        return self.answer_page(Yes, found, key=lambda row: (str(row.given_on), str(row.id)))

    @takes(body=NewYeses, answers=EnteredRows, status=201)
    def post(self, request):
        """Give a teacher's yes, all rows or none."""
        return self.enter(NewYeses, yeses.give_all)


class OneYes(View):
    @takes(status=204, also=(409,))
    def delete(self, request, yes):
        """Take back what was given by mistake, on its day or before."""
        yeses.take_back(self.scope, yes_id=yes, at=self.now)
        return Response(status=204)


urls = [
    path("yeses", Yeses.as_view(), name="yeses"),
    path("yeses/<uuid:yes>", OneYes.as_view(), name="yes"),
]
