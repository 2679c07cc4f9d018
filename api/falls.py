"""Falls and near misses: handed in by phones, looked at by a teacher."""

from django.urls import path

from api.base import View
from api.batches import Batch, RowAnswers, batch_of
from api.fields import Day, Document, Flag, Id, Key, OneOf, Text, Whole
from api.pages import PageQuery
from api.schema import takes
from classes import falls
from classes.falls import FallRow


class FallEntry(Document):
    id = Id()
    student = Id(source="student_id")
    skill_id = Id()
    role = OneOf(falls.CAN_FALL_AS)
    kind = OneOf(falls.KINDS)
    phase = OneOf(falls.PHASES)
    vars()["class"] = Id(source="class_id")
    on = Day()
    try_id = Id(required=False, allow_null=True)
    group = Id(required=False, allow_null=True)
    done = Text(
        required=False,
        allow_blank=True,
        max_length=80,
        help_text="What was done, in plain words; no health details.",
    )


class Fall(Document):
    id = Id()
    student = Id(source="student_id")
    name = Text()
    skill_id = Id()
    skill = Key(source="skill_key")
    role = OneOf(falls.CAN_FALL_AS)
    kind = OneOf(falls.KINDS)
    phase = OneOf(falls.PHASES)
    on = Day()
    number = Whole(help_text="Which one of that day in that skill and role.")
    try_id = Id(allow_null=True)
    group = Id(allow_null=True)
    done = Text()
    looked_at_on = Day(allow_null=True)
    looked_at_by = Id(allow_null=True)


class FallsQuery(PageQuery):
    open = Flag(required=False, help_text="Only those that no teacher has looked at yet.")


def by_day(fall):
    return fall.on.isoformat(), str(fall.id)


class FallBatch(Batch):
    late_members = True

    @takes(body=batch_of(FallEntry), answers=RowAnswers)
    def post(self, request):
        """Falls, row by row, at most 500; each closes its skill for that child until a teacher
        has looked."""
        return self.hand_in(
            FallEntry,
            lambda said: falls.store(
                self.scope, rows=[FallRow(**row) for row in said], at=self.now
            ),
        )


class Falls(View):
    @takes(query=FallsQuery, answers=Fall, paged=True)
    def get(self, request):
        """Falls of the children in sight, in order of their days."""
        said = self.asked(FallsQuery)
        found = falls.entered(self.scope, open_only=said.get("open", False))
        return self.answer_page(Fall, found, key=by_day)


class StudentFalls(View):
    @takes(answers=Fall, paged=True)
    def get(self, request, student):
        """The falls of one child, in order of their days."""
        found = falls.entered(self.scope, student_id=student)
        return self.answer_page(Fall, found, key=by_day)


class FallLook(View):
    @takes(answers=Fall)
    def post(self, request, fall):
        """A teacher has looked: the skill is open to her again."""
        return self.answer(Fall, falls.look(self.scope, fall_id=fall, at=self.now))


urls = [
    path("falls/batch", FallBatch.as_view(), name="falls-batch"),
    path("falls", Falls.as_view(), name="falls"),
    path("students/<uuid:student>/falls", StudentFalls.as_view(), name="student-falls"),
    path("falls/<uuid:fall>/look", FallLook.as_view(), name="fall-look"),
]
