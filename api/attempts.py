"""Tries: handed in by phones row by row, and read by child, by lesson and by revision."""

from django.urls import path
from rest_framework import serializers
from rest_framework.response import Response

from api.base import View
from api.batches import Batch, RowAnswer, Rows, batch_of
from api.errors import TooLarge
from api.fields import Day, Document, Figure, Id, Key, Moment, OneOf, Text, Whole
from api.pages import PageQuery, page_of
from api.schema import takes
from classes import attempt_rows, attempts, flags, tries


class AttemptEntry(Document):
    """A row as the phone froze it; what is read of it is read by `classes.attempt_rows`."""

    id = Id()
    attempt = Id(help_text="A correction is a new row of the same attempt.")
    revision = Whole(min_value=1, help_text="Of an attempt the greatest (revision, id) counts.")
    student = Id()
    skill_id = Id()
    role = OneOf(attempt_rows.ROLES)
    spot = OneOf(attempt_rows.SPOTS)
    outcome = OneOf(attempt_rows.RESULTS)
    measure = Figure(required=False, allow_null=True)
    weight = OneOf(attempt_rows.KINDS)
    try_id = Id(help_text="Rows of one physical try share it.")
    way_in = Text(required=False, allow_blank=True, max_length=attempt_rows.LONGEST_TEXT)
    way_out = Text(required=False, allow_blank=True, max_length=attempt_rows.LONGEST_TEXT)
    surface = Text(required=False, allow_blank=True, max_length=attempt_rows.LONGEST_TEXT)
    vars()["class"] = Id(required=False, allow_null=True, help_text="None: in no lesson.")
    local_date = Day(required=False, allow_null=True, help_text="Needed beside a class.")
    happened_at = Moment()
    clock_offset_ms = serializers.IntegerField()


class AttemptAnswer(RowAnswer):
    status = OneOf(attempts.STATUSES)
    flags = serializers.ListField(child=OneOf(flags.FLAGS), required=False)
    version = None


class AttemptAnswers(Document):
    rows = AttemptAnswer(many=True)


class Try(Document):
    id = Id(source="row.id")
    attempt = Id(source="row.attempt")
    revision = Whole(source="row.revision")
    student = Id(source="row.student_id")
    skill_id = Id(source="row.skill_id")
    skill = Key(source="skill_key")
    role = OneOf(attempt_rows.ROLES, source="row.role")
    spot = OneOf(attempt_rows.SPOTS, source="row.spot")
    outcome = OneOf(attempt_rows.RESULTS, source="row.outcome")
    measure = Figure(source="row.measure", allow_null=True)
    weight = OneOf(attempt_rows.KINDS, source="row.weight")
    try_id = Id(source="row.try_id")
    way_in = Text(source="row.way_in")
    way_out = Text(source="row.way_out")
    surface = Text(source="row.surface")
    lesson = Id(source="row.lesson_id", allow_null=True)
    edition = Id(source="row.edition_id", allow_null=True)
    member = Id(source="row.member_id")
    member_name = Text()
    sent_by = Id(source="stored.sent_by_id")
    happened_at = Moment(source="row.happened_at")
    clock_offset_ms = serializers.IntegerField(source="row.clock_offset_ms")
    at = Moment(source="stored.at", help_text="When it counts.")
    local_date = Day(source="row.local_date")
    received_at = Moment(source="stored.received_at")
    flags = serializers.ListField(child=OneOf(flags.FLAGS))


class Tries(Document):
    rows = Try(many=True)


class TriesQuery(PageQuery):
    skill = Key(required=False)
    role = OneOf(attempt_rows.ROLES, required=False)
    since = Day(required=False)


class AttemptRows(Batch):
    """A batch whose rows the noun reads itself: a field for each of 500 rows would be slow."""

    def rows(self, body):
        said = self.read(body)
        if len(said["rows"]) > self.most_rows:
            raise TooLarge()
        return said


class AttemptsBatch(AttemptRows):
    late_members = True
    a_minute = 120

    @takes(body=batch_of(AttemptEntry), answers=AttemptAnswers)
    def post(self, request):
        """Tries, row by row, at most 500. What breaks the school's policy is stored with flags:
        it happened. The lesson of a class in sight that is not there yet is made."""
        rows = self.rows(Rows)["rows"]
        return self.told(attempts.receive(self.scope, rows=rows, received_at=self.now))


class Flagged(View):
    """A list of tries whose flags are found for the page that is told."""

    def page(self, found, *, key):
        rows, following = page_of(self.request, found, key=key)
        rows = tries.flagged(self.scope, tries=rows)
        return Response({"rows": Try(rows, many=True).data, "next": following})


def by_time(one):
    return one.stored.at.isoformat(timespec="microseconds"), str(one.row.attempt)


class StudentTries(Flagged):
    @takes(query=TriesQuery, answers=Try, paged=True)
    def get(self, request, student):
        """The tries of a child that count, oldest first."""
        asked = self.asked(TriesQuery)
        asked = {name: asked.get(name) for name in ("skill", "role", "since")}
        return self.page(tries.of_student(self.scope, student_id=student, **asked), key=by_time)


class LessonTries(Flagged):
    @takes(answers=Try, paged=True)
    def get(self, request, lesson):
        """The tries of a lesson that count, oldest first."""
        found = tries.of_lesson(self.scope, lesson_id=lesson, around=self.now.date())
        return self.page(found, key=by_time)


class LateAttempts(Flagged):
    @takes(answers=Try, paged=True)
    def get(self, request):
        """What members handed in after their access to a studio had ended."""
        return self.page(
            tries.late(self.scope),
            key=lambda one: (
                one.stored.received_at.isoformat(timespec="microseconds"),
                str(one.row.id),
            ),
        )


class Attempt(View):
    @takes(answers=Tries)
    def get(self, request, attempt):
        """All revisions of one attempt, the one that counts last."""
        found = tries.flagged(self.scope, tries=tries.revisions(self.scope, attempt=attempt))
        return self.answer(Tries, {"rows": found})


urls = [
    path("attempts/batch", AttemptsBatch.as_view(), name="attempts-batch"),
    path("attempts/late", LateAttempts.as_view(), name="attempts-late"),
    path("attempts/<uuid:attempt>", Attempt.as_view(), name="attempt"),
    path("students/<uuid:student>/tries", StudentTries.as_view(), name="student-tries"),
    path("lessons/<uuid:lesson>/tries", LessonTries.as_view(), name="lesson-tries"),
]
