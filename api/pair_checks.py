"""“These two: yes”: given, listed with what has become of it, taken back on its day."""

from django.urls import path
from rest_framework.response import Response

from api.base import View
from api.facts import EnteredRows, FactView, rows_of
from api.fields import Day, Document, Id, Text
from api.schema import takes
from classes import pair_checks


class NewPairCheck(Document):
    base = Id()
    flyer = Id()
    given_on = Day(help_text="The local date; of an evening's check the lesson's.")
    lesson = Id(required=False, allow_null=True, help_text="For that evening only.")


class PairCheck(Document):
    id = Id()
    base = Id()
    flyer = Id()
    given_on = Day()
    lesson = Id(allow_null=True)
    by = Text(help_text="Who gave it.")
    ran_out = Text(allow_null=True, help_text="Why it does not hold today; null while it does.")


class PairCheckQuery(Document):
    student = Id(required=False, source="student_id", help_text="As base or as flyer.")


NewPairChecks = rows_of(NewPairCheck)


class PairChecks(FactView):
    @takes(query=PairCheckQuery, answers=PairCheck, paged=True)
    def get(self, request):
        """The pair checks in sight, those that ran out too, by the day of giving."""
        found = pair_checks.listed(self.scope, at=self.now, **self.asked(PairCheckQuery))
        return self.answer_page(PairCheck, found, key=lambda row: (str(row.given_on), str(row.id)))

    @takes(body=NewPairChecks, answers=EnteredRows, status=201)
    def post(self, request):
        """Give “these two: yes”, all rows or none."""
        return self.enter(NewPairChecks, pair_checks.give_all)


class OnePairCheck(View):
    @takes(status=204, also=(409,))
    def delete(self, request, pair_check):
        """Take back what was given by mistake, on its day or before."""
        pair_checks.take_back(self.scope, pair_check_id=pair_check, at=self.now)
        return Response(status=204)


urls = [
    path("pair-checks", PairChecks.as_view(), name="pair-checks"),
    path("pair-checks/<uuid:pair_check>", OnePairCheck.as_view(), name="pair-check"),
]
