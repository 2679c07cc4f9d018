"""Who is here: handed in by phones, and read for one lesson."""

from django.urls import path

from api.base import View
from api.batches import Batch, RowAnswers, batch_of
from api.fields import Day, Document, Flag, Id, Moment, OneOf, Text, Whole
from api.schema import takes
from classes import attendance
from classes.attendance import AttendanceRow


class AttendanceEntry(Document):
    id = Id()
    revision = Whole(min_value=1, max_value=attendance.MOST_REVISIONS)
    student = Id(source="student_id")
    vars()["class"] = Id(source="class_id")
    on = Day()
    state = OneOf(attendance.STATES)


class Entered(Document):
    student = Id(source="student_id")
    name = Text()
    trial = Flag()
    visitor = Flag(help_text="Has no place in the class that day.")
    state = OneOf(attendance.STATES, allow_null=True)
    revision = Whole(allow_null=True, help_text="A correction needs a greater one.")
    member = Id(source="member_id", allow_null=True, help_text="Who entered it.")
    at = Moment(allow_null=True)


class Register(Document):
    rows = Entered(many=True)


class AttendanceBatch(Batch):
    late_members = True

    @takes(body=batch_of(AttendanceEntry), answers=RowAnswers)
    def post(self, request):
        """Who is here, row by row, at most 500; of one child in one lesson the greatest revision
        counts. The lesson of a class in sight that is not there yet is made."""
        return self.hand_in(
            AttendanceEntry,
            lambda said: attendance.store(
                self.scope, rows=[AttendanceRow(**row) for row in said], at=self.now
            ),
        )


class LessonAttendance(View):
    @takes(answers=Register)
    def get(self, request, lesson):
        """Everybody of the class, and visitors, in alphabetical order."""
        found = attendance.register(self.scope, lesson_id=lesson, around=self.now.date())
        return self.answer(Register, {"rows": found})


urls = [
    path("attendance/batch", AttendanceBatch.as_view(), name="attendance-batch"),
    path("lessons/<uuid:lesson>/attendance", LessonAttendance.as_view(), name="lesson-attendance"),
]
