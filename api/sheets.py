"""The sheet of a lesson as one document, parts of it, and the same as a page for print."""

from django.urls import path
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from api.base import View
from api.fields import Day, Document, Figure, Flag, Id, Key, Moment, OneOf, Text, Whole
from api.groups import Groups, Named
from api.printed import PageForPrint, prints, with_its_style
from api.schema import takes
from classes import lessons
from curriculum.cards import FACES, LOADS, ROLES, TIERS, UNITS
from planning import child_lines, gates, lesson_sheet, pair_table, ways_up

Texts = serializers.ListField


@extend_schema_field({"type": "array", "items": {"type": "integer", "minimum": 0}})
class Places(serializers.Field):
    """Children by their place in a table; also a pair of them with a count."""

    def to_representation(self, value):
        return list(value)


@extend_schema_field(
    {"type": "array", "items": {"type": "array", "items": {"type": "integer", "minimum": 0}}}
)
class ListOfPlaces(serializers.Field):
    def to_representation(self, value):
        return [list(places) for places in value]


@extend_schema_field(
    {
        "oneOf": [
            {"type": "number"},
            {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2},
        ]
    }
)
class Sides(serializers.Field):
    """An angle in degrees for both sides, or one for each."""

    def to_representation(self, value):
        return value


class LocalMoment(Moment):
    """A moment in the studio's own time, with its offset."""

    def to_representation(self, value):
        return value.isoformat()


class SheetLesson(Document):
    id = Id()
    on = Day()
    starts_at = LocalMoment()
    ends_at = LocalMoment()
    zone = Text()
    minutes = Whole()
    state = OneOf(lessons.STATES)
    closed = Text(allow_null=True, help_text="Why there is no lesson that day.")
    mats = Whole()
    surface = Text(allow_null=True)
    note = Text()
    spotters = Named(many=True, help_text="Free to spot, as they were entered.")
    adults_in_room = Whole(help_text="Those who spot, and whoever is in charge.")
    adults_needed = Whole(help_text="By the school's policy, for the children who are here.")


class SheetEdition(Document):
    id = Id()
    number = Whole()
    name = Text()


class SheetSkill(Document):
    skill = Key()
    role = OneOf(ROLES)
    ready = Flag(help_text="By what was logged, or by a teacher's yes.")
    stopped = Flag(help_text="Nobody passes it in the tool tonight.")
    spot = OneOf(child_lines.SPOTS, allow_null=True, help_text="To begin with; null: none here.")
    help = Text()
    says = Text()
    without = Texts(child=Text(), help_text="Keys of ways for which something is missing.")


class SheetChild(Document):
    id = Id()
    name = Text()
    trial = Flag()
    visitor = Flag()
    state = OneOf(child_lines.STATES)
    revision = Whole(allow_null=True, help_text="Of what was entered; null: nothing was.")
    not_for_now = Texts(child=Text())
    at_home = Texts(child=Key(), help_text="Skills that she may practise at home, by the log.")
    skills = SheetSkill(many=True)


class CardRole(Document):
    role = OneOf(ROLES)
    min = Whole()
    max = Whole()
    loads = Texts(child=OneOf(LOADS))


class CardNeed(Document):
    role = OneOf(ROLES)
    says = Text(help_text="What a way asks of the role beyond the hold.")


class CardWay(Document):
    key = Key()
    name = Text()
    spot = Text(allow_null=True)
    needs = CardNeed(many=True)


class CardFault(Document):
    see = Text()
    say = Text()


class CardSpot(Document):
    stands = Text()
    way_up = Text(allow_null=True)
    hold = Text(allow_null=True)
    way_down = Text(allow_null=True)
    child_helper = Flag()


class CardMeasure(Document):
    unit = OneOf(UNITS)
    figure = Figure(help_text="From it a try is clean, from half of it shaky.")


class CardAgreed(Document):
    count = Text(allow_null=True)
    first = Text(allow_null=True)
    steps = Whole(allow_null=True)
    way_out = Text(allow_null=True)


class PoseFigure(Document):
    """What is not written is straight; see the page on the format, “Pose”."""

    role = OneOf(ROLES)
    size = Figure(required=False, help_text="Stature; a base is 1.")
    faces = OneOf(FACES, required=False)
    x = Figure(required=False)
    trunk = Figure(required=False)
    back = Figure(required=False)
    neck = Figure(required=False)
    shoulder = Sides(required=False)
    elbow = Sides(required=False)
    hip = Sides(required=False)
    knee = Sides(required=False)
    ankle = Sides(required=False)
    on = serializers.DictField(child=Text(), required=False)
    reach = serializers.DictField(child=Text(), required=False)


class PoseBox(Document):
    x = Figure(help_text="Its middle.")
    width = Figure()
    height = Figure()


class Pose(Document):
    figures = PoseFigure(many=True)
    box = PoseBox(required=False)


class SheetCard(Document):
    skill = Key()
    skill_id = Id()
    name = Text()
    family = Text()
    family_key = Key(help_text="As those who may spot it are entered.")
    tier = OneOf(TIERS)
    lifted = Flag()
    spotted = Flag()
    habit = Flag()
    alone = Flag(help_text="Done in no groups.")
    roles = CardRole(many=True)
    learning_size = Whole(allow_null=True)
    criterion = Text()
    measure = CardMeasure(allow_null=True)
    spot = CardSpot(allow_null=True)
    contacts = Text(allow_null=True)
    grip = Text(allow_null=True)
    steps = Texts(child=Text())
    cues = Texts(child=Text())
    faults = CardFault(many=True)
    ways_in = CardWay(many=True)
    shapes = CardWay(many=True)
    ways_out = CardWay(many=True)
    way_down = Text(allow_null=True)
    stop = Text(allow_null=True)
    bail_out = Text(allow_null=True)
    agreed_before = CardAgreed(allow_null=True)
    caution = Text(allow_null=True)
    at_home = Text(allow_null=True)
    pose = Pose(allow_null=True, help_text="The hold as a picture, from the side.")


class Suggestion(Document):
    skill = Key()
    name = Text()
    carries_on = Flag(help_text="Begun in the last lesson.")
    worked_out = Flag(help_text="If not, at most so many can be placed.")
    can_be_placed = Whole()
    moves_on = Texts(child=Id())
    says = Text()


class Suggestions(Document):
    lesson = Id()
    known = Text()
    groups = Suggestion(many=True)
    alone = Suggestion(many=True)
    caution = Text()


class TableChild(Document):
    state = OneOf(pair_table.STATES)
    ready = Flag(help_text="Only who is ready and not stopped stands in a proposal.")
    says = Texts(child=Text())
    turns = Whole(help_text="Lessons among the last six attended with a try in the role.")


class TableRole(Document):
    role = OneOf(ROLES)
    min = Whole()
    max = Whole()
    children = TableChild(many=True, help_text="In the order of the table's children.")


class TableSets(Document):
    bases = Places()
    ask = ListOfPlaces(help_text="Flyers with whom these bases are an ask.")
    stop = ListOfPlaces(help_text="Flyers with whom these bases are a stop.")


class TableStop(Document):
    code = OneOf(gates.CLASS_STOPS)
    sentence = Text()


class PairTable(Document):
    skill = Key()
    name = Text()
    children = Texts(child=Id(), help_text="All else means them by their place here, from 0.")
    stops = TableStop(many=True, help_text="What stops the skill for everybody.")
    roles = TableRole(many=True)
    covers = OneOf(
        pair_table.COVERS, help_text="Whose sets are worked out; a set of others is an ask."
    )
    sets = TableSets(many=True, help_text="What is not listed fits.")
    agreed = ListOfPlaces(help_text="Base and flyer with a teacher's yes.")
    not_with = ListOfPlaces(help_text="Two who are in no group together.")
    only_with = ListOfPlaces(help_text="Two who are in a group together or in none.")
    past_pairs = ListOfPlaces(help_text="Two, and in how many lessons they had a try together.")
    keep_partners = Flag()
    adults = Whole(help_text="Free to spot this.")
    adults_a_group = Whole()
    turns_under_one_spot = Whole()
    groups_at_most = Whole()
    ask_says = Text()
    stop_says = Text()
    partner_says = Text()


class SheetSay(Document):
    about = Text()
    says = Text()


class LessonSheet(Document):
    lesson = SheetLesson()
    vars()["class"] = Named(source="klass")
    studio = Named()
    edition = SheetEdition()
    known = Text()
    children = SheetChild(many=True)
    cards = SheetCard(many=True, help_text="Of the edition in use, in teaching order.")
    suggestions = Suggestions()
    kept = Groups(many=True)
    proposed = Groups(many=True, help_text="The best, where no groups were kept.")
    pair_tables = PairTable(many=True, help_text="Of the suggested and the kept skills.")
    says = SheetSay(many=True)
    private = Text(allow_null=True, help_text="For a teacher alone; never on a page.")
    caution = Text()


class TableQuery(Document):
    skill = Key()


class WaysUpQuery(Document):
    lesson = Id(source="lesson_id")


class WayUp(Document):
    skill = Key()
    name = Text()
    role = OneOf(ROLES)
    lifted = Flag()
    state = OneOf(ways_up.STATES)
    says = Texts(child=Text())
    partners = Named(many=True, help_text="Here tonight, by name.")
    caution = Text(allow_null=True)


class WaysUp(Document):
    student = Named()
    lesson = Id()
    known = Text()
    holds = WayUp(many=True, help_text="In teaching order.")
    caution = Text()


class Sheet(View):
    @takes(answers=LessonSheet, cached=True)
    def get(self, request, lesson):
        """All that is needed for the evening with no signal, as known at the lesson's start."""
        found = lesson_sheet.lesson_sheet(self.scope, lesson_id=lesson, today=self.now.date())
        return self.answer_cached(LessonSheet(found).data)


class SheetPage(PageForPrint):
    @prints()
    def get(self, request, lesson):
        """The sheet as one HTML page for print."""
        found = lesson_sheet.page(self.scope, lesson_id=lesson, today=self.now.date())
        return with_its_style(found)


class LessonSuggestions(View):
    @takes(answers=Suggestions, cached=True)
    def get(self, request, lesson):
        """The skills that suit the lesson, what was begun last time first."""
        found = lesson_sheet.suggested(self.scope, lesson_id=lesson, today=self.now.date())
        return self.answer_cached(Suggestions(found).data)


class LessonPairTable(View):
    @takes(query=TableQuery, answers=PairTable, cached=True)
    def get(self, request, lesson):
        """Who may hold which role of a skill, and who may be held by whom: without kilograms."""
        found = lesson_sheet.table(
            self.scope, lesson_id=lesson, today=self.now.date(), **self.asked(TableQuery)
        )
        return self.answer_cached(PairTable(found).data)


class StudentWaysUp(View):
    @takes(query=WaysUpQuery, answers=WaysUp, cached=True)
    def get(self, request, student):
        """The holds in which a child could be up in a lesson, and what is asked or missing."""
        found = ways_up.ways_up(
            self.scope, student_id=student, today=self.now.date(), **self.asked(WaysUpQuery)
        )
        return self.answer_cached(WaysUp(found).data)


urls = [
    path("lessons/<uuid:lesson>/sheet", Sheet.as_view(), name="lesson-sheet"),
    path("lessons/<uuid:lesson>/sheet.html", SheetPage.as_view(), name="lesson-sheet-page"),
    path(
        "lessons/<uuid:lesson>/suggestions", LessonSuggestions.as_view(), name="lesson-suggestions"
    ),
    path("lessons/<uuid:lesson>/pair-table", LessonPairTable.as_view(), name="lesson-pair-table"),
    path("students/<uuid:student>/ways-up", StudentWaysUp.as_view(), name="student-ways-up"),
]
