"""Rows that wait for a head teacher: read, admitted to the log or thrown away."""

from django.urls import path
from rest_framework import serializers
from rest_framework.response import Response

from api.attempts import AttemptAnswer, AttemptAnswers, AttemptEntry, AttemptRows
from api.base import View
from api.batches import Rows, told
from api.fields import Day, Document, Id, Moment, OneOf, Text
from api.schema import takes
from classes import attempts, held


class Held(Document):
    id = Id()
    row = serializers.DictField(help_text="As the phone wrote it.")
    student_name = Text(allow_null=True, help_text="Null: she is not there any more.")
    skill_name = Text(allow_null=True, help_text="Null: no edition has it.")
    on = Day(allow_null=True, help_text="The local day of the try.")
    reason = OneOf(attempts.REASONS)
    member = Id(help_text="Who logged it.")
    member_name = Text()
    sent_by = Id()
    sent_by_name = Text()
    received_at = Moment()


class Rescue(Document):
    member = Id(help_text="Whose phone it was.")
    rows = AttemptEntry(many=True)


class RescuedRows(Rows):
    member = Id()


class HeldRows(View):
    @takes(answers=Held, paged=True)
    def get(self, request):
        """The rows that wait, the first received first."""
        return self.answer_page(
            Held,
            held.waiting(self.scope),
            key=lambda one: (one.received_at.isoformat(timespec="microseconds"), str(one.id)),
        )


class Admit(View):
    @takes(answers=AttemptAnswer)
    def post(self, request, row):
        """Store the row; what the log refuses stays held, unless the child was erased."""
        return Response(told(held.admit(self.scope, held_id=row, at=self.now)))


class Discard(View):
    @takes(status=204)
    def post(self, request, row):
        """Throw the row away."""
        held.discard(self.scope, held_id=row, at=self.now)
        return Response(status=204)


class RescuedAttempts(AttemptRows):
    @takes(body=Rescue, answers=AttemptAnswers)
    def post(self, request):
        """What somebody left on a phone, loaded by a head teacher: all of it is held."""
        said = self.rows(RescuedRows)
        answers = held.rescue(self.scope, member_id=said["member"], rows=said["rows"], at=self.now)
        return self.told(answers)


urls = [
    path("attempts/rescue", RescuedAttempts.as_view(), name="attempts-rescue"),
    path("held", HeldRows.as_view(), name="held"),
    path("held/<uuid:row>/admit", Admit.as_view(), name="held-admit"),
    path("held/<uuid:row>/discard", Discard.as_view(), name="held-discard"),
]
