"""Adoptions: from which local date on a studio has which edition in use."""

from django.urls import path

from api.base import View
from api.fields import Day, Document, Text, Whole
from api.schema import takes
from curriculum import adoptions


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


urls = [path("studios/<uuid:studio>/adoptions", Adoptions.as_view(), name="studio-adoptions")]
