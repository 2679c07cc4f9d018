"""Children: in lists and one by one, taken on, corrected, with their places in classes."""

from django.urls import path

from accounts.names import alphabetical
from api.base import View
from api.batches import Batch, RowAnswers, batch_of
from api.fields import Day, Document, Figure, Flag, Id, OneOf, Text, Whole
from api.pages import PageQuery
from api.schema import takes
from classes import children, enrolments, trials
from classes.trials import TrialRow


class TrialEntry(Document):
    id = Id(help_text="Made by the phone; it becomes the child's.")
    given_name = Text(max_length=children.LONGEST_NAME)
    initial = Text(required=False, allow_blank=True, max_length=children.LONGEST_INITIAL)
    vars()["class"] = Id(source="class_id")
    on = Day(help_text="From this day on she is in the class on trial.")
    birth_year = Whole(required=False, allow_null=True, min_value=1900, max_value=2200)
    birth_month = Whole(required=False, allow_null=True, min_value=1, max_value=12)


class StudentsQuery(PageQuery):
    vars()["class"] = Id(source="class_id", required=False)
    on = Day(required=False, help_text="Absent: today.")


class StudentLine(Document):
    id = Id()
    name = Text()
    age = Whole(allow_null=True, help_text="Full years; null where it is not known.")
    joined_on = Day()
    left_on = Day(allow_null=True)


class NewStudent(Document):
    given_name = Text(max_length=children.LONGEST_NAME)
    initial = Text(required=False, allow_blank=True, max_length=children.LONGEST_INITIAL)
    birth_year = Whole(min_value=1900, max_value=2200)
    birth_month = Whole(min_value=1, max_value=12)
    vars()["class"] = Id(source="class_id")
    vars()["from"] = Day(source="from_date", required=False, help_text="Absent: today.")
    trial = Flag(required=False)
    height_cm = Figure(required=False, min_value=children.LOWEST_CM, max_value=children.HIGHEST_CM)
    height_on = Day(required=False, help_text="Absent: today.")
    guardian_note = Text(required=False, allow_blank=True, max_length=children.LONGEST_NOTE)
    confirmed = Flag(required=False, help_text="What was asked (409) is as meant.")


class StudentChange(Document):
    given_name = Text(required=False, max_length=children.LONGEST_NAME)
    initial = Text(required=False, allow_blank=True, max_length=children.LONGEST_INITIAL)
    birth_year = Whole(required=False, allow_null=True, min_value=1900, max_value=2200)
    birth_month = Whole(required=False, allow_null=True, min_value=1, max_value=12)
    guardian_note = Text(required=False, allow_blank=True, max_length=children.LONGEST_NOTE)
    left_on = Day(required=False, allow_null=True, help_text="The last day in the school.")
    confirmed = Flag(required=False, help_text="What was asked (409) is as meant.")


class StudentPlace(Document):
    id = Id()
    vars()["class"] = Id(source="class_id")
    class_name = Text()
    vars()["from"] = Day(source="from_date")
    until = Day(allow_null=True)
    trial = Flag(help_text="A trial child is not lifted and lifts nobody.")


class NewPlace(Document):
    vars()["class"] = Id(source="class_id")
    vars()["from"] = Day(source="from_date")
    trial = Flag(required=False, default=False)


class PlaceChange(Document):
    until = Day(allow_null=True, help_text="The last day of the place; null leaves it open.")


class NotForNow(Document):
    blocks = Text(help_text="A role, or a load such as wrists.")
    until = Day()


class Student(Document):
    id = Id()
    name = Text(help_text="What tells her from all others of the school.")
    given_name = Text()
    initial = Text()
    age = Whole(allow_null=True, help_text="Full years; null where it is not known.")
    birth_year = Whole(allow_null=True, help_text="Null for an assistant.")
    birth_month = Whole(allow_null=True, help_text="Null for an assistant.")
    guardian_note = Text(allow_null=True, help_text="Null for an assistant.")
    joined_on = Day()
    left_on = Day(allow_null=True)
    height_cm = Figure(allow_null=True)
    height_on = Day(allow_null=True)
    hands_on = OneOf(children.AGREED_WORDS, help_text="The agreement to hands-on spotting.")
    lifting = OneOf(children.AGREED_WORDS, help_text="The agreement to lifting.")
    blocked = NotForNow(many=True)
    places = StudentPlace(many=True)


class TrialBatch(Batch):
    late_members = True

    @takes(body=batch_of(TrialEntry), answers=RowAnswers)
    def post(self, request):
        """Trial children whom a phone made offline, row by row, at most 500."""
        return self.hand_in(
            TrialEntry,
            lambda said: trials.store(
                self.scope, rows=[TrialRow(**row) for row in said], at=self.now
            ),
        )


class Students(View):
    @takes(query=StudentsQuery, answers=StudentLine, paged=True)
    def get(self, request):
        """The children in sight who had not left on a day, in alphabetical order; with a class
        those who had a place in it."""
        said = self.asked(StudentsQuery)
        found = children.listed(
            self.scope, at=self.now, on=said.get("on"), class_id=said.get("class_id")
        )
        return self.answer_page(
            StudentLine, found, key=lambda one: (*alphabetical(one.name), str(one.id))
        )

    @takes(body=NewStudent, answers=Student, status=201, also=[409])
    def post(self, request):
        """A child with a place in a class. One of that name, initial and month of birth who is
        known already gets the place."""
        found = children.add(self.scope, said=self.read(NewStudent), at=self.now)
        return self.answer(Student, found, status=201)


class OneStudent(View):
    @takes(answers=Student)
    def get(self, request, student):
        """One child: what is known of her, never a mass."""
        found = children.find(self.scope, student_id=student, at=self.now)
        return self.answer(Student, found)

    @takes(body=StudentChange, answers=Student, also=[409])
    def patch(self, request, student):
        """What a teacher corrects; what is left out stays."""
        said = self.read(StudentChange)
        found = children.change(self.scope, student_id=student, said=said, at=self.now)
        return self.answer(Student, found)


class Places(View):
    @takes(body=NewPlace, answers=StudentPlace, status=201)
    def post(self, request, student):
        """A place in a class from a day on. A trial that becomes a place ends the day before."""
        said = self.read(NewPlace)
        found = enrolments.give(self.scope, student_id=student, at=self.now, **said)
        return self.answer(StudentPlace, found, status=201)


class OnePlace(View):
    @takes(body=PlaceChange, answers=StudentPlace)
    def patch(self, request, student, place):
        """The last day of a place."""
        said = self.read(PlaceChange)
        found = enrolments.end(self.scope, student_id=student, place_id=place, at=self.now, **said)
        return self.answer(StudentPlace, found)


urls = [
    path("students/batch", TrialBatch.as_view(), name="students-batch"),
    path("students", Students.as_view(), name="students"),
    path("students/<uuid:student>", OneStudent.as_view(), name="student"),
    path("students/<uuid:student>/places", Places.as_view(), name="student-places"),
    path("students/<uuid:student>/places/<uuid:place>", OnePlace.as_view(), name="student-place"),
]
