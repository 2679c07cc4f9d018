"""Closures: holidays and other days without lessons."""

from django.urls import path
from rest_framework.response import Response

from api.base import View
from api.fields import Day, Document, Id, Text
from api.schema import takes
from classes import timetable
from classes.timetable import CLOSURE

EVERYWHERE = "Null or absent: everywhere."


class NewClosure(Document):
    name = Text(max_length=120)
    first = Day()
    last = Day()
    studio = Id(required=False, allow_null=True, help_text=EVERYWHERE)


class ClosureChange(Document):
    name = Text(required=False, max_length=120)
    first = Day(required=False)
    last = Day(required=False)
    studio = Id(required=False, allow_null=True, help_text="Null: everywhere.")


class Closure(Document):
    id = Id()
    name = Text()
    first = Day(source="first_on")
    last = Day(source="last_on")
    studio = Id(source="studio_id", allow_null=True, help_text="Null: everywhere.")


class ClosureList(Document):
    rows = Closure(many=True)


class Closures(View):
    @takes(answers=ClosureList)
    def get(self, request):
        """Those everywhere and at the studios of whoever asks, by their first day."""
        return self.answer(ClosureList, {"rows": timetable.closures(self.scope)})

    @takes(body=NewClosure, answers=Closure, status=201)
    def post(self, request):
        """Further days without lessons."""
        said = self.read(NewClosure)
        found = timetable.add(self.scope, kind=CLOSURE, said=said, at=self.now)
        return self.answer(Closure, found, status=201)


class OneClosure(View):
    @takes(answers=Closure)
    def get(self, request, closure):
        """One closure."""
        return self.answer(Closure, timetable.find(self.scope, kind=CLOSURE, row_id=closure))

    @takes(body=ClosureChange, answers=Closure)
    def patch(self, request, closure):
        """Change what is sent, and leave the rest."""
        said = self.read(ClosureChange)
        found = timetable.change(self.scope, kind=CLOSURE, row_id=closure, said=said, at=self.now)
        return self.answer(Closure, found)

    @takes(status=204)
    def delete(self, request, closure):
        """Take it out again."""
        timetable.remove(self.scope, kind=CLOSURE, row_id=closure, at=self.now)
        return Response(status=204)


urls = [
    path("closures", Closures.as_view(), name="closures"),
    path("closures/<uuid:closure>", OneClosure.as_view(), name="closure"),
]
