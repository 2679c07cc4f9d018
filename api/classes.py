"""Weekly classes, and the file of everything that makes a timetable."""

from django.urls import path
from rest_framework import serializers

from api.base import View
from api.fields import Day, Document, Flag, Id, OneOf, Text, Whole
from api.parsers import FileParser
from api.schema import takes
from classes import classes, timetable
from classes.named import WEEKDAYS
from classes.timetable import CLASS

UNTIL = "The last day on which it may meet; what was logged stays."


class Weekday(OneOf):
    """A day of the week by its name."""

    def __init__(self, **options):
        super().__init__(WEEKDAYS, **options)

    def to_representation(self, value):
        return WEEKDAYS[value]


class Clock(serializers.RegexField):
    """The studio's own time, such as 17:00."""

    def __init__(self, **options):
        super().__init__(r"^[0-9]{2}:[0-9]{2}\Z", help_text=self.__doc__, **options)

    def to_internal_value(self, data):
        if not isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)

    def to_representation(self, value):
        return f"{value:%H:%M}"


class NewClass(Document):
    name = Text(max_length=120)
    studio = Id()
    weekday = Weekday()
    starts = Clock()
    minutes = Whole(required=False, min_value=10, max_value=240)
    until = Day(required=False, allow_null=True, help_text=UNTIL)


class ClassChange(Document):
    name = Text(required=False, max_length=120)
    studio = Id(required=False, help_text="A class does not move: this is where it is.")
    weekday = Weekday(required=False)
    starts = Clock(required=False)
    minutes = Whole(required=False, min_value=10, max_value=240)
    until = Day(
        required=False, allow_null=True, help_text=f"{UNTIL} Null takes it back until it is over."
    )
    confirmed = Flag(required=False, help_text="What was asked (409) is as meant.")


class Class(Document):
    id = Id()
    name = Text()
    studio = Id(source="studio_id")
    weekday = Weekday()
    starts = Clock(source="starts_at")
    minutes = Whole()
    until = Day(allow_null=True, help_text=UNTIL)


class ClassList(Document):
    rows = Class(many=True)


class TimetableQuery(Document):
    dry_run = Flag(required=False, help_text="Check only.")
    confirmed = Flag(required=False, help_text="As in the policy, where masses are switched on.")


class TimetableLoaded(Document):
    new = serializers.ListField(child=Text(), help_text="Such as “studio Sellane Harbour”.")
    changed = serializers.ListField(child=Text())
    standing = Whole(help_text="How many entries stand already.")
    adopted = serializers.ListField(
        child=Text(), help_text="Studios that begin with the newest curriculum."
    )
    lessons = Whole(help_text="How many coming lessons start at another moment now.")


class Classes(View):
    @takes(answers=ClassList)
    def get(self, request):
        """The classes at the studios of whoever asks, by name."""
        return self.answer(ClassList, {"rows": classes.classes(self.scope)})

    @takes(body=NewClass, answers=Class, status=201)
    def post(self, request):
        """A further class."""
        said = self.read(NewClass)
        found = timetable.add(self.scope, kind=CLASS, said=said, at=self.now)
        return self.answer(Class, found, status=201)


class OneClass(View):
    @takes(answers=Class)
    def get(self, request, klass):
        """One class."""
        return self.answer(Class, classes.find(self.scope, class_id=klass))

    @takes(body=ClassChange, answers=Class, also=[409])
    def patch(self, request, klass):
        """Change what is sent; coming lessons follow, past ones stay. After its last day a class
        has no lessons and nobody a place in it: what goes with it is asked about (409) first."""
        said = self.read(ClassChange)
        confirmed = said.pop("confirmed", False)
        found = timetable.change(
            self.scope, kind=CLASS, row_id=klass, said=said, confirmed=confirmed, at=self.now
        )
        return self.answer(Class, found)


class Timetable(View):
    parser_classes = [FileParser]

    @takes(query=TimetableQuery, file=True, answers=TimetableLoaded, also=[409])
    def put(self, request):
        """A file of the format classes/1, all of it or nothing: studios, terms, closures, classes,
        policy. The same file again changes nothing; what it does not name stays."""
        asked = self.asked(TimetableQuery)
        loaded = timetable.load(self.scope, content=self.file(), at=self.now, **asked)
        return self.answer(TimetableLoaded, loaded)


urls = [
    path("classes", Classes.as_view(), name="classes"),
    path("classes/<uuid:klass>", OneClass.as_view(), name="class"),
    path("timetable", Timetable.as_view(), name="timetable"),
]
