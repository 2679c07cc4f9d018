"""Differences: what a draft or an edition changes in an edition, in words."""

from django.urls import path
from rest_framework import serializers

from api.base import View
from api.fields import Document, Key, OneOf, Text, Whole
from api.schema import takes
from curriculum import differences
from curriculum.card_changes import KINDS


class ChangeInWords(Document):
    kind = OneOf(KINDS)
    sentence = Text(help_text="In lower case, under the name of the card.")
    before = Text(allow_null=True, help_text="What it was in full; null where nothing was.")
    after = Text(allow_null=True)


class CardDifference(Document):
    skill = Key()
    name = Text()
    what = OneOf(differences.WHATS)
    was = serializers.ListField(child=Key(), help_text="The skills of before that it carries on.")
    changes = ChangeInWords(many=True)


class DifferenceInWords(Document):
    number = Whole(allow_null=True, help_text="The edition compared with; null for none.")
    outline = ChangeInWords(many=True, help_text="What changed beside the cards.")
    cards = CardDifference(many=True, help_text="In teaching order, then those that are gone.")


class DifferenceQuery(Document):
    number = Whole(required=False, min_value=1, help_text="The edition to compare with.")


class DraftDifference(View):
    @takes(query=DifferenceQuery, answers=DifferenceInWords)
    def get(self, request, draft):
        """What a draft changes in an edition, without one in the newest that stands."""
        found = differences.of_draft(self.scope, draft_id=draft, **self.asked(DifferenceQuery))
        return self.answer(DifferenceInWords, found)


class EditionDifference(View):
    @takes(query=DifferenceQuery, answers=DifferenceInWords)
    def get(self, request, number):
        """What an edition changes in another, without one in the last before it that stands."""
        since = self.asked(DifferenceQuery).get("number")
        found = differences.of_edition(self.scope, number=number, since=since)
        return self.answer(DifferenceInWords, found)


urls = [
    path("drafts/<uuid:draft>/difference", DraftDifference.as_view(), name="draft-difference"),
    path(
        "editions/<int:number>/difference",
        EditionDifference.as_view(),
        name="edition-difference",
    ),
]
