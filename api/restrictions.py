"""What is not for now: entered and ended by a teacher, never why."""

from django.urls import path
from rest_framework.response import Response

from api.base import View
from api.facts import EnteredRows, FactView, rows_of
from api.fields import Day, Document, Id, OneOf
from api.schema import takes
from classes import restrictions


class NewRestriction(Document):
    student = Id()
    blocks = OneOf(restrictions.BLOCKS, help_text="A load or a role.")
    vars()["from"] = Day()
    until = Day(help_text="The last day.")


class Restriction(Document):
    id = Id()
    blocks = OneOf(restrictions.BLOCKS)
    vars()["from"] = Day(source="from_date")
    until = Day()


class StudentRestrictionRows(Document):
    rows = Restriction(many=True)


class RestrictionEnd(Document):
    until = Day(help_text="The last day; to end it at once, yesterday.")


NewRestrictions = rows_of(NewRestriction)


class Restrictions(FactView):
    @takes(body=NewRestrictions, answers=EnteredRows, status=201)
    def post(self, request):
        """The same child, load or role, and first day again moves the end."""
        return self.enter(NewRestrictions, restrictions.restrict)


class OneRestriction(View):
    @takes(body=RestrictionEnd, status=204)
    def patch(self, request, restriction):
        """Move the last day of what is not for now."""
        said = self.read(RestrictionEnd)
        restrictions.move_end(self.scope, restriction_id=restriction, at=self.now, **said)
        return Response(status=204)

    @takes(status=204, also=(409,))
    def delete(self, request, restriction):
        """Take back what was entered by mistake, on its first day or before."""
        restrictions.take_back(self.scope, restriction_id=restriction, at=self.now)
        return Response(status=204)


class StudentRestrictions(View):
    @takes(answers=StudentRestrictionRows)
    def get(self, request, student):
        """Those of one child, ended ones too. That they were read is kept."""
        found = restrictions.of_student(self.scope, student_id=student, at=self.now)
        return self.answer(StudentRestrictionRows, {"rows": found})


urls = [
    path("restrictions", Restrictions.as_view(), name="restrictions"),
    path("restrictions/<uuid:restriction>", OneRestriction.as_view(), name="restriction"),
    path(
        "students/<uuid:student>/restrictions",
        StudentRestrictions.as_view(),
        name="student-restrictions",
    ),
]
