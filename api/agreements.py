"""What guardians have agreed to, entered and withdrawn by a teacher."""

from django.urls import path
from rest_framework.response import Response

from api.base import View
from api.facts import EnteredRows, FactView, rows_of
from api.fields import Day, Document, Id, OneOf
from api.schema import takes
from classes import agreements


class NewAgreement(Document):
    student = Id()
    kind = OneOf(agreements.AGREEMENTS)
    agreed_on = Day()
    withdrawn_on = Day(required=False, allow_null=True)


class Agreement(Document):
    id = Id()
    kind = OneOf(agreements.AGREEMENTS)
    agreed_on = Day()
    withdrawn_on = Day(allow_null=True)


class StudentAgreementRows(Document):
    rows = Agreement(many=True)


class Withdrawal(Document):
    withdrawn_on = Day(source="on")


NewAgreements = rows_of(NewAgreement)


class Agreements(FactView):
    @takes(body=NewAgreements, answers=EnteredRows, status=201)
    def post(self, request):
        """To agree again after a withdrawal takes a later day."""
        return self.enter(NewAgreements, agreements.agree)


class OneAgreement(View):
    @takes(body=Withdrawal, status=204)
    def patch(self, request, agreement):
        """Withdraw it; all of its kind that was agreed up to that day ends."""
        said = self.read(Withdrawal)
        agreements.withdraw(self.scope, agreement_id=agreement, at=self.now, **said)
        return Response(status=204)


class StudentAgreements(View):
    @takes(answers=StudentAgreementRows)
    def get(self, request, student):
        """What her guardian has agreed to and withdrawn."""
        found = agreements.of_student(self.scope, student_id=student)
        return self.answer(StudentAgreementRows, {"rows": found})


urls = [
    path("agreements", Agreements.as_view(), name="agreements"),
    path("agreements/<uuid:agreement>", OneAgreement.as_view(), name="agreement"),
    path(
        "students/<uuid:student>/agreements",
        StudentAgreements.as_view(),
        name="student-agreements",
    ),
]
