"""The map: what needs what in an edition or a draft, and where a class or a child stands on it."""

from django.urls import path
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from api.base import View
from api.editions import Family
from api.fields import Document, Figure, Flag, Id, Key, OneOf, Text, Whole
from api.groups import Named
from api.schema import takes
from api.sheets import LocalMoment, SheetEdition
from curriculum import maps
from curriculum.cards import ROLES, TIERS
from planning import map_overlays


@extend_schema_field(
    {
        "type": "array",
        "items": {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2},
    }
)
class Points(serializers.Field):
    """Pairs of cells from the left edge and the layer, from the start of an edge to its end."""

    def to_representation(self, value):
        return [list(point) for point in value]


class MapNode(Document):
    key = Text(help_text="Of a card the key of its skill, of a joining node such as seat.1.")
    kind = OneOf(maps.KINDS, help_text="Unknown: a skill that is needed and has no card.")
    card = Key(help_text="The skill that it belongs to.")
    layer = Whole(help_text="From 0 at the bottom.")
    x = Figure(help_text="Its middle, in cells from the left edge.")
    name = Text(allow_null=True, help_text="Null, as all that a card says, where there is none.")
    family = Key(allow_null=True)
    lifted = Flag(allow_null=True)
    tier = OneOf(TIERS, allow_null=True)
    roles = serializers.ListField(child=OneOf(ROLES))
    changed = OneOf(maps.CHANGES, allow_null=True, help_text="Of a draft.")


class MapNeed(Document):
    role = OneOf(ROLES, help_text="Of the card that needs it.")
    of_role = OneOf(ROLES, allow_null=True, help_text="Null where a joining node is the start.")
    help = OneOf(maps.HELP, allow_null=True, help_text="The most help that is enough.")


class MapEdge(Document):
    vars()["from"] = Text(source="start", help_text="What is needed.")
    to = Text(source="end", help_text="What needs it.")
    kind = OneOf(maps.LINES, help_text="Whether all that comes to its end is needed, or any.")
    needs = MapNeed(many=True, help_text="All that stand for this edge.")
    circle = Flag(help_text="A fault of a draft: one of the needs leads back to itself.")
    runs = OneOf(maps.RUNS, help_text="Down or round: two cards, or roles of one, need each other.")
    points = Points()
    changed = OneOf(maps.CHANGES, allow_null=True, help_text="Of a draft.")


class Map(Document):
    number = Whole(allow_null=True, help_text="Of the edition; null: a draft.")
    against = Whole(allow_null=True, help_text="The edition that a draft is compared with.")
    families = Family(many=True, help_text="In teaching order.")
    width = Figure(help_text="In cells: a card takes one, a joining node a half, a line a quarter.")
    layers = Whole()
    nodes = MapNode(many=True, help_text="From the lowest layer on, from left to right.")
    edges = MapEdge(many=True)


class DraftMapQuery(Document):
    number = Whole(required=False, help_text="The edition to compare with; absent: the newest.")


class StudentMapQuery(Document):
    vars()["class"] = Id(
        source="class_id", required=False, help_text="Absent: one that she has a place in."
    )


class Overlay(Document):
    """What both tell: where, which edition's map, and as known when."""

    vars()["class"] = Named(source="klass")
    studio = Named()
    edition = SheetEdition(help_text="Its map has the places.")
    as_of = LocalMoment()
    known = Text()
    caution = Text()


class ChildRole(Document):
    role = OneOf(ROLES)
    help = OneOf(map_overlays.HELP, help_text="Of what was tried: the help she needs.")
    word = Text(help_text="The same in words.")
    stands = OneOf(map_overlays.STANDS)
    says = Text(help_text="The same in a sentence, with what is missing.")


class ChildSkill(Document):
    skill = Key()
    roles = ChildRole(many=True)


class StudentMap(Overlay):
    student = Named()
    skills = ChildSkill(many=True, help_text="In teaching order.")


class HelpCount(Document):
    help = OneOf(map_overlays.HELP)
    word = Text()
    children = Whole()


class ClassRole(Document):
    role = OneOf(ROLES)
    begun = OneOf(map_overlays.BEGUN, help_text="How many do it with whatever help.")
    counts = HelpCount(many=True, help_text="Each help once, from not tried to no spot.")
    may_begin = Whole(help_text="How many could begin it now.")
    says = Text(help_text="All of it in words.")


class ClassSkill(Document):
    skill = Key()
    roles = ClassRole(many=True)


class ClassMap(Overlay):
    children = Whole(help_text="Who have a place today.")
    skills = ClassSkill(many=True, help_text="In teaching order.")


class EditionMap(View):
    @takes(answers=Map, cached=True)
    def get(self, request, number):
        """What needs what in a published edition, as a picture in numbers."""
        found = maps.of_edition(self.scope, number=number)
        return self.answer_cached(Map(found).data, forever=True)


class DraftMap(View):
    @takes(query=DraftMapQuery, answers=Map, cached=True)
    def get(self, request, draft):
        """What needs what in a draft, faults and all, and what changed since an edition."""
        asked = self.asked(DraftMapQuery)
        found = maps.of_draft(self.scope, draft_id=draft, **asked)
        return self.answer_cached(Map(found).data)


class OneStudentMap(View):
    @takes(query=StudentMapQuery, answers=StudentMap)
    def get(self, request, student):
        """Where a child stands on the map of the edition in use where she is taught."""
        asked = self.asked(StudentMapQuery)
        found = map_overlays.student_map(self.scope, student_id=student, at=self.now, **asked)
        return self.answer(StudentMap, found)


class OneClassMap(View):
    @takes(answers=ClassMap)
    def get(self, request, klass):
        """Where a class stands on the map of the edition in use there: counts, nobody by name."""
        found = map_overlays.class_map(self.scope, class_id=klass, at=self.now)
        return self.answer(ClassMap, found)


urls = [
    path("editions/<int:number>/map", EditionMap.as_view(), name="edition-map"),
    path("drafts/<uuid:draft>/map", DraftMap.as_view(), name="draft-map"),
    path("students/<uuid:student>/map", OneStudentMap.as_view(), name="student-map"),
    path("classes/<uuid:klass>/map", OneClassMap.as_view(), name="class-map"),
]
