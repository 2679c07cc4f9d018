"""Adoptions: from which local date on a studio has which edition in use."""

from datetime import date

from django.urls import path, register_converter
from django.urls.converters import StringConverter
from rest_framework.response import Response

from api.base import View
from api.fields import Day, Document, Text, Whole
from api.schema import takes
from curriculum import adoptions


class DayInPath(StringConverter):
    """A local date in an address; where there is none, no route leads."""

    regex = "[0-9]{4}-[0-9]{2}-[0-9]{2}"
    to_python = staticmethod(date.fromisoformat)


register_converter(DayInPath, "day")


class NewAdoption(Document):
    number = Whole(min_value=1, help_text="Of a published edition.")
    from_date = Day(help_text="A local date; another edition from that date gives way.")


class Adoption(Document):
    number = Whole()
    name = Text()
    from_date = Day()


class AdoptionList(Document):
    rows = Adoption(many=True)


class Adoptions(View):
    @takes(answers=AdoptionList)
    def get(self, request, studio):
        """What a studio has taken into use and will, by date."""
        return self.answer(
            AdoptionList, {"rows": adoptions.adoptions(self.scope, studio_id=studio)}
        )

    @takes(body=NewAdoption, answers=AdoptionList, status=201)
    def post(self, request, studio):
        """Take an edition into use from a date; answers all that the studio has taken on."""
        adoptions.adopt(self.scope, studio_id=studio, at=self.now, **self.read(NewAdoption))
        return self.answer(
            AdoptionList,
            {"rows": adoptions.adoptions(self.scope, studio_id=studio)},
            status=201,
        )


class OneAdoption(View):
    @takes(status=204, also=[409])
    def delete(self, request, studio, from_date):
        """Take back what a studio was going to take into use, before its first day."""
        adoptions.take_back(self.scope, studio_id=studio, from_date=from_date, at=self.now)
        return Response(status=204)


urls = [
    path("studios/<uuid:studio>/adoptions", Adoptions.as_view(), name="studio-adoptions"),
    path(
        "studios/<uuid:studio>/adoptions/<day:from_date>",
        OneAdoption.as_view(),
        name="studio-adoption",
    ),
]
