"""Studios side by side: how each logs, what its children have reached, and how long it took."""

from django.urls import path
from rest_framework import serializers

from api.base import View
from api.fields import Document, Figure, Flag, Id, Key, Moment, OneOf, Text, Whole
from api.schema import takes
from api.terms import Term
from classes import attempt_rows
from planning.comparison import SAYS, comparison

KNOWN = "Null where there is too little to say it fairly."


class ComparisonQuery(Document):
    term = Id(required=False, help_text="Without it the last that has begun.")


class EntriesShare(Document):
    share = Figure(help_text="Of the lessons held, from 0 to 1.")
    low = Figure(help_text="The limits between which it is known at 95 %.")
    high = Figure()


class SpotShare(Document):
    spot = OneOf(attempt_rows.SPOTS)
    tries = Whole(allow_null=True, help_text="Null where fewer than five children had any.")
    clean = Figure(allow_null=True, help_text="The share of them that was clean, from 0 to 1.")


class StudioLogging(Document):
    lessons_held = Whole()
    lessons_with_entries = Whole()
    with_entries = EntriesShare(allow_null=True, help_text="Null while no lesson was held.")
    within_chance = Flag(
        allow_null=True, help_text="Whether chance alone gives that beside all studios together."
    )
    children = Whole(allow_null=True, help_text="Null where they are fewer than five.")
    tries = Whole(allow_null=True)
    tries_for_each = Figure(
        allow_null=True, help_text="Tries for each child on the list of a lesson with entries."
    )
    at_once = Figure(
        allow_null=True,
        help_text="The share of tries that were seen several at once, or summed up afterwards.",
    )
    loggers = Whole(help_text="How many people entered any.")
    by_one = Flag(help_text="One of them entered all or nearly all.")
    by_spot = SpotShare(many=True)
    enough = Flag(help_text="Whether anything is said of what its children have reached.")
    sentences = serializers.ListField(child=Text())


class StudioStrictness(Document):
    clean = Figure(
        allow_null=True,
        help_text="How much higher the share of clean is here than elsewhere for the same skills,"
        f" roles and spots, from -1 to 1. {KNOWN}",
    )
    low = Figure(allow_null=True, help_text="The limits between which it is known at 95 %.")
    high = Figure(allow_null=True)
    says = OneOf(
        SAYS, allow_null=True, help_text="It logs more or fewer as not clean than chance gives."
    )
    sentence = Text()


class StudioReached(Document):
    share = Figure(
        allow_null=True,
        help_text="Of the skills tried this term the share that needs no spot, from 0 to 1, drawn"
        f" towards all studios together. {KNOWN}",
    )
    low = Figure(allow_null=True, help_text="The limits between which it is known at 95 %.")
    high = Figure(allow_null=True)
    own = Figure(
        allow_null=True, help_text="How much of its own distance from the others it keeps, 0 to 1."
    )
    within_chance = Flag(allow_null=True)
    sentence = Text()


class ComparedStudio(Document):
    studio = Id()
    name = Text()
    logging = StudioLogging()
    strictness = StudioStrictness()
    reached = StudioReached()


class StudioTime(Document):
    studio = Id()
    name = Text()
    children = Whole(help_text="Who began it this term; nobody is told of under five.")
    median = Figure(
        allow_null=True,
        help_text="Weeks until half of them were seen clean with no spot. Null: not yet half.",
    )
    low = Figure(
        allow_null=True, help_text="Its limits at 95 %. Null: longer than can be seen yet."
    )
    high = Figure(allow_null=True)
    within_chance = Flag()
    sentence = Text()


class ComparedSkill(Document):
    skill = Key()
    name = Text()
    role = OneOf(attempt_rows.ROLES)
    studios = StudioTime(many=True, help_text="By name.")


class Compared(Document):
    term = Term(allow_null=True, help_text="Null where no terms are entered: the last year.")
    as_of = Moment()
    sentence = Text(help_text="How to read it, or why there is nothing to put side by side.")
    studios = ComparedStudio(many=True, help_text="By name; never by a figure.")
    skills = ComparedSkill(many=True, help_text="By name: those that most children began.")
    notes = serializers.ListField(child=Text())


class Comparison(View):
    @takes(query=ComparisonQuery, answers=Compared)
    def get(self, request):
        """The studios in one term: first how much and how strictly is logged, and where that is
        enough what their children have reached; a figure never stands without its sentence."""
        asked = self.asked(ComparisonQuery)
        found = comparison(self.scope, term_id=asked.get("term"), at=self.now)
        return self.answer(Compared, found)


urls = [path("comparison", Comparison.as_view(), name="comparison")]
