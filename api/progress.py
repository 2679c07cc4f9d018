"""The path of a child over a term, and a class by its skills: for laptops of teachers."""

from django.urls import path

from api.base import View
from api.fields import Day, Document, Flag, Id, Key, OneOf, Text, Whole
from api.groups import Named
from api.schema import takes
from api.sheets import SheetEdition
from curriculum.cards import ROLES
from planning import child_lines, words
from planning.progress import chains, of_class
from planning.progress import path as paths

HELP = tuple(words.HELP)


class PathQuery(Document):
    first = Day(required=False, help_text="Absent: of the term of today, or of the last one.")
    last = Day(required=False, help_text="Absent: of that term.")
    vars()["class"] = Id(
        source="class_id", required=False, help_text="Absent: one that she has a place in."
    )


class Reading(Document):
    on = Day()
    help = OneOf(HELP, allow_null=True, help_text="Most probably needed; null of a habit.")
    says = Text(help_text="The same in words.")
    word = Text(help_text="How likely no spot is needed; behind a press.")
    percent = Whole(
        allow_null=True, help_text="The same to ten; behind a press; null: too little is logged."
    )


class PathTry(Document):
    attempt = Id()
    spot = OneOf(child_lines.SPOTS)
    outcome = OneOf(words.OUTCOME)
    weight = OneOf(chains.KINDS)
    logged_as = Text(allow_null=True, help_text="The skill it was then, where that is another.")


class PathEvening(Document):
    reading = Reading(help_text="After the last try of the evening.")
    tries = PathTry(many=True, help_text="Oldest first.")


class PathSkill(Document):
    skill = Key()
    name = Text()
    role = OneOf(ROLES)
    taught = Flag(help_text="In the edition in use; what is not comes last.")
    habit = Flag()
    at_first = Reading(allow_null=True, help_text="As the first day began; null: not tried yet.")
    evenings = PathEvening(many=True)
    at_last = Reading(help_text="As the last day ended or, sooner, now.")


class Path(Document):
    student = Named()
    vars()["class"] = Named(source="klass")
    studio = Named()
    edition = SheetEdition()
    first = Day()
    last = Day()
    known = Text()
    skills = PathSkill(many=True, help_text="What was tried in these days, in teaching order.")


class ProgressChild(Document):
    id = Id()
    name = Text()
    trial = Flag()


class ProgressHelp(Document):
    student = Id()
    help = OneOf(HELP, allow_null=True, help_text="Null of a habit.")
    says = Text()


class ProgressRole(Document):
    role = OneOf(ROLES)
    children = ProgressHelp(many=True, help_text="Who has tried it, by name.")


class ProgressSkill(Document):
    skill = Key()
    name = Text()
    family = Text()
    habit = Flag()
    roles = ProgressRole(many=True)


class ProgressRoleTurns(Document):
    role = OneOf(of_class.TURNED)
    lessons = Whole()


class ProgressTurns(Document):
    student = Id()
    attended = Whole(help_text="Lessons that are counted, six at most.")
    roles = ProgressRoleTurns(many=True)
    says = Text()


class ProgressWent(Document):
    student = Named()
    skill = Key()
    name = Text()
    role = OneOf(ROLES)
    before = OneOf(HELP)
    now = OneOf(HELP)
    tried = Flag(help_text="Tried again since.")
    says = Text()


class ProgressHolidays(Document):
    last = Day(help_text="The last evening before the break.")
    first = Day(allow_null=True, help_text="The first one after it; null: it lasts.")
    says = Text()
    went = ProgressWent(many=True, help_text="By child and in teaching order.")


class Progress(Document):
    vars()["class"] = Named(source="klass")
    studio = Named()
    edition = SheetEdition()
    on = Day()
    known = Text()
    children = ProgressChild(many=True, help_text="Who has a place today, by name.")
    skills = ProgressSkill(many=True, help_text="All of the edition, in teaching order.")
    turns = ProgressTurns(many=True, help_text="Over the last six lessons attended, by name.")
    not_up = Named(many=True, help_text="No try as flyer or equal partner in those lessons.")
    always_base = Named(many=True, help_text="As base in two or more of them, never as flyer.")
    holidays = ProgressHolidays(allow_null=True, help_text="Null: no break of 14 days.")


class StudentPath(View):
    @takes(query=PathQuery, answers=Path)
    def get(self, request, student):
        """The help that a child needed after each evening of a term, with the tries under it."""
        asked = self.asked(PathQuery)
        found = paths.path(self.scope, student_id=student, at=self.now, **asked)
        return self.answer(Path, found)


class ClassProgress(View):
    @takes(answers=Progress)
    def get(self, request, klass):
        """A class by its skills, whose turn it was, and what went in the holidays: no order but
        that of names and of teaching."""
        found = of_class.class_progress(self.scope, class_id=klass, at=self.now)
        return self.answer(Progress, found)


urls = [
    path("students/<uuid:student>/path", StudentPath.as_view(), name="student-path"),
    path("classes/<uuid:klass>/progress", ClassProgress.as_view(), name="class-progress"),
]
