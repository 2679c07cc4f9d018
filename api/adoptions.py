"""Adoptions: from which local date on a studio has which edition in use, or holds it back."""

from datetime import date

from django.urls import path, register_converter
from django.urls.converters import StringConverter
from rest_framework.response import Response

from api.base import View
from api.editions import FROM_START
from api.fields import Day, Document, Text, Whole
from api.schema import takes
from classes.adoptions import take_back
from curriculum import adoptions


class DayInPath(StringConverter):
    """A local date in an address; where there is none, no route leads."""

    regex = "[0-9]{4}-[0-9]{2}-[0-9]{2}"
    to_python = staticmethod(date.fromisoformat)


register_converter(DayInPath, "day")


class NewAdoption(Document):
    number = Whole(min_value=1, help_text="Of a published edition.")
    from_date = Day(
        required=False,
        help_text="A local date; another edition from that date gives way. Without one it is "
        "today, or from the start where nothing is in use yet.",
    )


class Adoption(Document):
    number = Whole()
    name = Text()
    from_date = Day(help_text=FROM_START)


class HeldBack(Document):
    number = Whole()
    name = Text()
    reason = Text()
    from_date = Day()
    by = Text(allow_null=True)


class AdoptionList(Document):
    rows = Adoption(many=True)
    held_back = HeldBack(many=True, help_text="What the studio does not take on for now.")


class NewHeldBack(Document):
    number = Whole(min_value=1, help_text="Of a published edition.")
    reason = Text(max_length=adoptions.LONGEST_REASON)


class OfStudio(View):
    """What a studio has taken on and holds back, and what is changed in it."""

    def all_of(self, studio, status=200):
        found = {
            "rows": adoptions.adoptions(self.scope, studio_id=studio),
            "held_back": adoptions.held_back(self.scope, studio_ids=[studio]),
        }
        return self.answer(AdoptionList, found, status=status)


class Adoptions(OfStudio):
    @takes(answers=AdoptionList)
    def get(self, request, studio):
        """What a studio has taken into use and will, by date, and what it holds back."""
        return self.all_of(studio)

    @takes(body=NewAdoption, answers=AdoptionList, status=201)
    def post(self, request, studio):
        """Take an edition into use from a date; answers all that the studio has taken on."""
        adoptions.adopt(self.scope, studio_id=studio, at=self.now, **self.read(NewAdoption))
        return self.all_of(studio, status=201)


class OneAdoption(View):
    @takes(status=204, also=[409])
    def delete(self, request, studio, from_date):
        """Take back what a studio took into use, as long as no try names it there."""
        take_back(self.scope, studio_id=studio, from_date=from_date, at=self.now)
        return Response(status=204)


class StudioHeldBack(OfStudio):
    @takes(body=NewHeldBack, answers=AdoptionList, status=201, also=[409])
    def post(self, request, studio):
        """Hold an edition back for a reason; taking it on ends that."""
        adoptions.hold_back(self.scope, studio_id=studio, at=self.now, **self.read(NewHeldBack))
        return self.all_of(studio, status=201)


class StudioHeldBackEdition(View):
    @takes(status=204)
    def delete(self, request, studio, number):
        """Hold an edition back no more."""
        adoptions.hold_no_more(self.scope, studio_id=studio, number=number, at=self.now)
        return Response(status=204)


urls = [
    path("studios/<uuid:studio>/adoptions", Adoptions.as_view(), name="studio-adoptions"),
    path(
        "studios/<uuid:studio>/adoptions/<day:from_date>",
        OneAdoption.as_view(),
        name="studio-adoption",
    ),
    path("studios/<uuid:studio>/held-back", StudioHeldBack.as_view(), name="studio-held-back"),
    path(
        "studios/<uuid:studio>/held-back/<int:number>",
        StudioHeldBackEdition.as_view(),
        name="studio-held-back-edition",
    ),
]
