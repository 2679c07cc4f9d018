"""Class lists: who has a place, and the file that brings children."""

from django.urls import path
from rest_framework import serializers
from rest_framework.fields import empty

from api.base import View
from api.fields import Day, Document, Flag, Id, Text, Whole
from api.parsers import FileParser
from api.schema import takes
from classes import classes, roster


class RowNumbers(serializers.RegexField):
    """Numbers of rows with commas between them; the header is row 1."""

    def __init__(self, **options):
        super().__init__(r"^[0-9]{1,6}(,[0-9]{1,6})*\Z", max_length=4000, **options)

    def run_validation(self, data=empty):
        # Only here the pattern has been looked at.
        return [int(number) for number in super().run_validation(data).split(",")]


class RosterQuery(Document):
    on = Day(required=False, help_text="Absent: today, where the class meets.")


class RosterFileQuery(Document):
    dry_run = Flag(required=False, help_text="Check only.")
    confirm = RowNumbers(
        required=False,
        source="confirmed",
        help_text="Rows whose question has been looked at and which are as meant, such as 3,7.",
    )


class Place(Document):
    student = Id(source="student_id")
    name = Text()
    from_date = Day()
    until = Day(allow_null=True)
    trial = Flag(help_text="A trial child is not lifted and lifts nobody.")


class Roster(Document):
    rows = Place(many=True)


class RosterLoaded(Document):
    mapping = Text(help_text="How the headers were understood.")
    new = serializers.ListField(child=Text())
    changed = serializers.ListField(child=Text(), help_text="Such as “Sunniva: height”.")
    standing = Whole(help_text="About how many children nothing is new.")
    absent = serializers.ListField(
        child=Text(), help_text="Whom the list does not name; they are left as they are."
    )
    remarks = serializers.ListField(child=Text())


class OneRoster(View):
    parser_classes = [FileParser]

    @takes(query=RosterQuery, answers=Roster)
    def get(self, request, klass):
        """Who has a place in the class on a day, by name."""
        found = roster.roster(self.scope, class_id=klass, at=self.now, **self.asked(RosterQuery))
        return self.answer(Roster, {"rows": found})

    @takes(query=RosterFileQuery, file=True, answers=RosterLoaded)
    def post(self, request, klass):
        """A table of children for this class, all of it or nothing. The same again changes nothing.

        What is asked about a row (a height that looks like a slip, a child who may be another)
        refuses the list until the row is among `confirm`."""
        asked = self.asked(RosterFileQuery)
        found = classes.find(self.scope, class_id=klass)
        loaded = roster.load(self.scope, content=self.file(), klass=found, at=self.now, **asked)
        return self.answer(RosterLoaded, loaded)


urls = [path("classes/<uuid:klass>/roster", OneRoster.as_view(), name="class-roster")]
