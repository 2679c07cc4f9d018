"""What was worked out overnight for a coming lesson."""

from django.urls import path
from rest_framework import serializers

from api.base import View
from api.fields import Document, Flag, Id, Key, Moment, OneOf, Text
from api.schema import takes
from classes import yeses
from planning import preparation
from planning.words import CAUTION


class SkillSuggested(Document):
    skill = Key()
    name = Text()
    carries_on = Flag(help_text="It was begun last time.")


class ChildNamed(Document):
    student = Id()
    name = Text()


class YesEnding(Document):
    student = Id()
    name = Text()
    skill = Key()
    skill_name = Text()
    role = Text()
    kind = OneOf(yeses.YES_KINDS)


class PairEnding(Document):
    base = Id()
    base_name = Text()
    flyer = Id()
    flyer_name = Text()


class Prepared(Document):
    lesson = Id()
    made_at = Moment(allow_null=True, help_text="Null: nothing was worked out yet.")
    spotters_named = Flag(
        help_text="False: the skills hold if those who may spot at the studio come."
    )
    together = SkillSuggested(many=True, help_text="Skills for groups, the likeliest first.")
    alone = SkillSuggested(many=True, help_text="Skills that each child does alone.")
    first_back = ChildNamed(many=True, help_text="Back after a break, if they come.")
    old_heights = ChildNamed(many=True, help_text="Whose height is older than the policy's days.")
    yeses = YesEnding(many=True, help_text="A teacher's yes that holds no more at the lesson.")
    pairs = PairEnding(many=True, help_text="“These two: yes” that holds no more at the lesson.")
    caution = serializers.SerializerMethodField()

    def get_caution(self, found) -> str:
        return CAUTION


class Preparation(View):
    @takes(answers=Prepared)
    def get(self, request, lesson):
        """What was worked out overnight for a coming lesson."""
        found = preparation.prepared(self.scope, lesson_id=lesson, today=self.now.date())
        return self.answer(Prepared, found)


urls = [
    path("lessons/<uuid:lesson>/preparation", Preparation.as_view(), name="lesson-preparation"),
]
