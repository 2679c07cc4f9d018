"""Impacts: what a draft or an edition would change for the children of a studio."""

from django.urls import path
from rest_framework import serializers

from api.base import View
from api.drafts import Finding
from api.fields import Day, Document, Flag, Id, Key, OneOf, Text, Whole
from api.groups import Named
from api.schema import takes
from api.sheets import LocalMoment, SheetEdition
from classes import yeses
from curriculum.cards import ROLES
from planning import impact


class Stood(Document):
    skill = Key()
    name = Text()
    stands = OneOf(impact.STANDS)
    says = Text(help_text="The same in a sentence, with what is missing.")


class RoleImpact(Document):
    role = OneOf(ROLES)
    what = OneOf(impact.WHATS)
    before = Stood(
        allow_null=True,
        help_text="Of the skill that is carried on, if it is another. Null: it is new there.",
    )
    after = Stood(allow_null=True, help_text="Null: it is taught no more.")


class ChildImpact(Document):
    student = Named()
    roles = RoleImpact(many=True, help_text="In teaching order, then those that are gone.")


class YesImpact(Document):
    id = Id()
    student = Named()
    skill = Key()
    role = OneOf(ROLES)
    kind = OneOf(yeses.YES_KINDS)
    given_on = Day()
    lesson = Id(allow_null=True, help_text="Where it was for that evening only.")
    says = Text(help_text="That it runs out, and why.")


class SkillTouched(Document):
    skill = Key()
    name = Text()
    kept = Flag(help_text="Groups of it are kept.")
    suggested = Flag(help_text="It was suggested overnight.")
    what = OneOf(impact.TOUCHES, help_text="The first of these that holds.")
    sentences = serializers.ListField(
        child=Text(), help_text="What becomes of it, then what newly stops or asks in its groups."
    )


class LessonTouched(Document):
    id = Id()
    vars()["class"] = Named(source="klass")
    on = Day()
    skills = SkillTouched(many=True, help_text="In teaching order.")


class Impact(Document):
    number = Whole(allow_null=True, help_text="Of the edition; null: a draft.")
    name = Text()
    faults = Finding(many=True, help_text="What to put right first: with any, no more is told.")
    studio = Named()
    in_use = SheetEdition(allow_null=True, help_text="What it is compared with.")
    as_of = LocalMoment()
    known = Text()
    says = Text(help_text="All of it in one sentence.")
    children = ChildImpact(many=True, help_text="Whose readiness changes, by name.")
    yeses = YesImpact(many=True, help_text="Those that run out, by the child's name.")
    lessons = LessonTouched(many=True, help_text="Those to come that are touched, by time.")
    caution = Text()


class ImpactQuery(Document):
    studio = Id(source="studio_id")


class DraftImpact(View):
    @takes(query=ImpactQuery, answers=Impact)
    def get(self, request, draft):
        """What would change at a studio that took a draft on today: whose readiness, which yeses,
        which lessons to come."""
        asked = self.asked(ImpactQuery)
        found = impact.of_draft(self.scope, draft_id=draft, at=self.now, **asked)
        return self.answer(Impact, found)


class EditionImpact(View):
    @takes(query=ImpactQuery, answers=Impact)
    def get(self, request, number):
        """What would change at a studio that took an edition on today."""
        asked = self.asked(ImpactQuery)
        found = impact.of_edition(self.scope, number=number, at=self.now, **asked)
        return self.answer(Impact, found)


urls = [
    path("drafts/<uuid:draft>/impact", DraftImpact.as_view(), name="draft-impact"),
    path("editions/<int:number>/impact", EditionImpact.as_view(), name="edition-impact"),
]
