"""The places where the school teaches."""

from django.urls import path

from api.base import View
from api.fields import Document, Id, OneOf, Text, Whole
from api.schema import takes
from classes import timetable
from classes.timetable import STUDIO, STUDIO_UNITS

ZONE = "Its IANA time zone, such as Europe/Lisbon."


class NewStudio(Document):
    name = Text(max_length=120)
    zone = Text(max_length=64, help_text=ZONE)
    units = OneOf(STUDIO_UNITS, required=False, help_text="How heights are typed and shown there.")
    mats = Whole(required=False, max_value=60)


class StudioChange(NewStudio):
    name = Text(required=False, max_length=120)
    zone = Text(required=False, max_length=64, help_text=ZONE)


class Studio(Document):
    id = Id()
    name = Text()
    zone = Text()
    units = OneOf(STUDIO_UNITS)
    mats = Whole()


class StudioList(Document):
    rows = Studio(many=True)


class Studios(View):
    @takes(answers=StudioList)
    def get(self, request):
        """The studios of whoever asks, by name."""
        return self.answer(StudioList, {"rows": timetable.studios(self.scope)})

    @takes(body=NewStudio, answers=Studio, status=201)
    def post(self, request):
        """A further studio; it begins with the newest curriculum, if there is one."""
        said = self.read(NewStudio)
        found = timetable.add(self.scope, kind=STUDIO, said=said, at=self.now)
        return self.answer(Studio, found, status=201)


class OneStudio(View):
    @takes(answers=Studio)
    def get(self, request, studio):
        """One studio."""
        return self.answer(Studio, timetable.find(self.scope, kind=STUDIO, row_id=studio))

    @takes(body=StudioChange, answers=Studio)
    def patch(self, request, studio):
        """Change what is sent; with another zone coming lessons start at another moment."""
        said = self.read(StudioChange)
        found = timetable.change(self.scope, kind=STUDIO, row_id=studio, said=said, at=self.now)
        return self.answer(Studio, found)


urls = [
    path("studios", Studios.as_view(), name="studios"),
    path("studios/<uuid:studio>", OneStudio.as_view(), name="studio"),
]
