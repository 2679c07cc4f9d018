"""The evenings: planned by the week, or stored with what a teacher says about one."""

from django.urls import path
from rest_framework import serializers

from api.base import View
from api.fields import Day, Document, Id, Moment, OneOf, Text, Whole
from api.schema import takes
from classes import lessons


class LessonsQuery(Document):
    first = Day()
    last = Day()
    vars()["class"] = Id(source="class_id", required=False)


class NewLesson(Document):
    vars()["class"] = Id(source="class_id")
    on = Day()


class LessonChange(Document):
    spotters = serializers.ListField(child=Id(), max_length=30, required=False)
    mats = Whole(required=False, allow_null=True, max_value=60)
    minutes = Whole(required=False, min_value=10, max_value=240)
    surface = Text(required=False, allow_blank=True, max_length=60)
    note = Text(
        required=False,
        allow_blank=True,
        max_length=200,
        help_text="Plain words about the evening; no health details.",
    )
    state = OneOf(lessons.STATES, required=False)


class LessonStudio(Document):
    id = Id(source="studio_id")
    name = Text(source="studio_name")
    zone = Text(help_text="IANA: its clock is the lesson's.")


class Lesson(Document):
    id = Id()
    vars()["class"] = Id(source="class_id")
    class_name = Text()
    studio = LessonStudio(source="*")
    on = Day()
    starts_at = Moment()
    minutes = Whole()
    state = OneOf(lessons.STATES)
    mats = Whole(allow_null=True, help_text="Null: as many as the studio has.")
    surface = Text()
    note = Text()
    spotters = serializers.ListField(child=Id())
    closed = Text(allow_null=True, help_text="Why there is no meeting that day.")


class LessonList(Document):
    rows = Lesson(many=True)


class Lessons(View):
    @takes(query=LessonsQuery, answers=LessonList)
    def get(self, request):
        """Lessons from a day to a day, planned and stored, in order of time; at most 366 days."""
        found = lessons.between(self.scope, **self.asked(LessonsQuery))
        return self.answer(LessonList, {"rows": found})

    @takes(body=NewLesson, answers=Lesson, status=201)
    def post(self, request):
        """An extra meeting of a class on any date; one that stands already stays as it is."""
        found = lessons.add(self.scope, at=self.now, **self.read(NewLesson))
        return self.answer(Lesson, found, status=201)


class OneLesson(View):
    late_members = True  # what she has said of an evening is refused, so that it waits no longer

    @takes(answers=Lesson)
    def get(self, request, lesson):
        """A lesson as stored, else as planned within a year of today."""
        found = lessons.find(self.scope, lesson_id=lesson, around=self.now.date())
        return self.answer(Lesson, found)

    @takes(body=LessonChange, answers=Lesson, also=[409])
    def patch(self, request, lesson):
        """What a teacher says about one evening; what is left out stays."""
        said = self.read(LessonChange)
        found = lessons.change(self.scope, lesson_id=lesson, said=said, at=self.now)
        return self.answer(Lesson, found)


urls = [
    path("lessons", Lessons.as_view(), name="lessons"),
    path("lessons/<uuid:lesson>", OneLesson.as_view(), name="lesson"),
]
