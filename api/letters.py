"""The letter for a child's guardians, as one document and as a page for print."""

from django.urls import path
from rest_framework import serializers

from api.base import View
from api.fields import Day, Document, Id, Text
from api.groups import Named
from api.printed import PageForPrint, prints, with_its_style
from api.schema import takes
from planning import letters


class LetterQuery(Document):
    vars()["class"] = Id(
        source="class_id", required=False, help_text="Absent: one that she has a place in."
    )


class LetterSection(Document):
    heading = Text()
    says = Text()
    lines = serializers.ListField(child=Text())


class Letter(Document):
    student = Named()
    vars()["class"] = Named(source="klass")
    studio = Named()
    on = Day(help_text="The day up to which it tells.")
    title = Text()
    known = Text()
    opening = Text()
    sections = LetterSection(many=True)
    closing = Text()
    caution = Text()


class StudentLetter(View):
    @takes(query=LetterQuery, answers=Letter)
    def get(self, request, student):
        """What stands in a child's letter. That it was read is kept."""
        found = letters.letter(
            self.scope, student_id=student, at=self.now, **self.asked(LetterQuery)
        )
        return self.answer(Letter, found)


class StudentLetterPage(PageForPrint):
    @prints(query=LetterQuery)
    def get(self, request, student):
        """The letter as one HTML page for print. That it was printed is kept."""
        found = letters.page(self.scope, student_id=student, at=self.now, **self.asked(LetterQuery))
        return with_its_style(found)


urls = [
    path("students/<uuid:student>/letter", StudentLetter.as_view(), name="student-letter"),
    path(
        "students/<uuid:student>/letter.html",
        StudentLetterPage.as_view(),
        name="student-letter-page",
    ),
]
