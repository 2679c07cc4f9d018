"""Editions: what is published, as whole documents that never change."""

from django.urls import path
from rest_framework import serializers
from rest_framework.response import Response

from api.base import View
from api.fields import Day, Document, Id, Key, Moment, Text, Whole
from api.schema import takes
from curriculum import adoptions, editions, withdrawals
from curriculum.adoptions import LONGEST_REASON

FROM_START = f"A local date; {editions.ALWAYS} says from the start."


class InUse(Document):
    studio = Id(source="studio_id")
    from_date = Day(help_text=FROM_START)


class HeldBackAt(Document):
    studio = Id(source="studio_id")
    reason = Text()
    from_date = Day()
    by = Text(allow_null=True)


class Withdrawn(Document):
    at = Moment()
    reason = Text()


class Edition(Document):
    number = Whole()
    name = Text()
    note = Text()
    published_at = Moment()
    withdrawn = Withdrawn(allow_null=True, help_text="Then no studio takes it on any more.")
    in_use = InUse(many=True, help_text="Where it is in use today, and since when.")
    held_back = HeldBackAt(many=True, help_text="Where it is not taken on for now, and why.")


class Withdrawal(Document):
    reason = Text(max_length=LONGEST_REASON)


class EditionList(Document):
    rows = Edition(many=True)


class Family(Document):
    key = Key()
    name = Text(max_length=120)


class Card(Document):
    skill = Key()
    skill_id = Id()
    document = serializers.DictField(help_text="A card of the format curriculum/1.")


class Succession(Document):
    from_key = Key()
    to_key = Key()


class WholeEdition(Document):
    number = Whole()
    name = Text()
    note = Text()
    published_at = Moment()
    families = Family(many=True, help_text="In teaching order.")
    cards = Card(many=True, help_text="In teaching order.")
    successions = Succession(many=True)


class EditionOnQuery(Document):
    on = Day(required=False)


class EditionOn(Document):
    number = Whole()
    name = Text()
    from_date = Day(help_text="The local date from which the studio has it in use.")


class Editions(View):
    @takes(answers=EditionList)
    def get(self, request):
        """The published editions, the newest first."""
        return self.answer(EditionList, {"rows": editions.editions(self.scope, at=self.now)})


class OneEdition(View):
    @takes(answers=WholeEdition, cached=True)
    def get(self, request, number):
        """All that a published edition says."""
        return self.answer_cached(editions.document(self.scope, number=number), forever=True)


class EditionWithdraw(View):
    @takes(body=Withdrawal, status=204, also=(409,))
    def post(self, request, number):
        """Withdraw an edition that no studio took on; it keeps its number."""
        withdrawals.withdraw(self.scope, number=number, at=self.now, **self.read(Withdrawal))
        return Response(status=204)


class OneCard(View):
    @takes(answers=Card, cached=True)
    def get(self, request, number, skill):
        """What a published edition says of one skill."""
        found = editions.card(self.scope, number=number, skill=skill)
        return self.answer_cached(found, forever=True)


class StudioEdition(View):
    @takes(query=EditionOnQuery, answers=EditionOn)
    def get(self, request, studio):
        """The edition that a studio has in use on a local date, without one today."""
        found = adoptions.adopted(
            self.scope, studio_id=studio, at=self.now, **self.asked(EditionOnQuery)
        )
        return self.answer(EditionOn, found)


urls = [
    path("editions", Editions.as_view(), name="editions"),
    path("editions/<int:number>", OneEdition.as_view(), name="edition"),
    path("editions/<int:number>/withdraw", EditionWithdraw.as_view(), name="edition-withdraw"),
    path("editions/<int:number>/cards/<slug:skill>", OneCard.as_view(), name="edition-card"),
    path("studios/<uuid:studio>/edition", StudioEdition.as_view(), name="studio-edition"),
]
