"""Terms: first and last day of each."""

from django.urls import path
from rest_framework.response import Response

from api.base import View
from api.fields import Day, Document, Id, Text
from api.schema import takes
from classes import timetable
from classes.timetable import TERM


class NewTerm(Document):
    name = Text(max_length=120)
    first = Day()
    last = Day()


class TermChange(Document):
    name = Text(required=False, max_length=120)
    first = Day(required=False)
    last = Day(required=False)


class Term(Document):
    id = Id()
    name = Text()
    first = Day(source="first_on")
    last = Day(source="last_on")


class TermList(Document):
    rows = Term(many=True)


class Terms(View):
    @takes(answers=TermList)
    def get(self, request):
        """The terms in their order; a school that has entered none has lessons all year."""
        return self.answer(TermList, {"rows": timetable.terms(self.scope)})

    @takes(body=NewTerm, answers=Term, status=201)
    def post(self, request):
        """A further term; two never overlap."""
        said = self.read(NewTerm)
        found = timetable.add(self.scope, kind=TERM, said=said, at=self.now)
        return self.answer(Term, found, status=201)


class OneTerm(View):
    @takes(answers=Term)
    def get(self, request, term):
        """One term."""
        return self.answer(Term, timetable.find(self.scope, kind=TERM, row_id=term))

    @takes(body=TermChange, answers=Term)
    def patch(self, request, term):
        """Change what is sent, and leave the rest."""
        said = self.read(TermChange)
        found = timetable.change(self.scope, kind=TERM, row_id=term, said=said, at=self.now)
        return self.answer(Term, found)

    @takes(status=204)
    def delete(self, request, term):
        """Take it out again."""
        timetable.remove(self.scope, kind=TERM, row_id=term, at=self.now)
        return Response(status=204)


urls = [
    path("terms", Terms.as_view(), name="terms"),
    path("terms/<uuid:term>", OneTerm.as_view(), name="term"),
]
