"""Groups of a lesson: proposed, checked as somebody formed them, kept, changed by hand; asks."""

from django.urls import path
from rest_framework import serializers

from api.base import View
from api.batches import Batch, RowAnswers, batch_of
from api.fields import Day, Document, Flag, Id, Key, Moment, OneOf, Text, Whole
from api.schema import takes
from classes.attempt_rows import SPOTS
from curriculum.cards import ROLES
from planning import answers, group_batches, group_changes, groups
from planning.by_hand import Formed
from planning.group_batches import GroupsRow

MOST_GROUPS = 60
MOST_IN_A_ROLE = 30


class SeatsField(serializers.DictField):
    """Role -> ids of children."""

    child = serializers.ListField(child=Id(), max_length=MOST_IN_A_ROLE)

    def to_internal_value(self, data):
        seats = super().to_internal_value(data)
        unknown = {role: ["No such role."] for role in seats if role not in ROLES}
        if unknown:
            raise serializers.ValidationError(unknown)
        return {role: tuple(held) for role, held in seats.items()}


class GroupFormed(Document):
    id = Id(required=False, allow_null=True)
    seats = SeatsField(help_text="Role -> ids of children.")


class OfSkill(Document):
    skill = Key()


class FormedOfSkill(Document):
    skill = Key()
    groups = GroupFormed(many=True, allow_empty=False, max_length=MOST_GROUPS)


class GroupsFormed(Document):
    groups = GroupFormed(many=True, allow_empty=False, max_length=MOST_GROUPS)


class Swap(Document):
    a = Id()
    b = Id()


class Move(Document):
    student = Id()
    group = Id(required=False, allow_null=True, help_text="Null: a new group.")
    role = OneOf(ROLES, required=False, allow_null=True, help_text="Null: in no group.")


class Lock(Document):
    group = Id()
    locked = Flag()


class Latecomer(Document):
    student = Id()


class NewAnswer(Document):
    skill = Key()
    code = OneOf(answers.CODES)
    students = serializers.ListField(child=Id(), min_length=1, max_length=MOST_IN_A_ROLE)
    role = OneOf(ROLES, required=False, allow_null=True)
    reason = OneOf(list(answers.REASONS.items()))


class GroupsMade(Document):
    id = Id()
    vars()["class"] = Id(source="class_id")
    on = Day()
    skill_id = Id()
    groups = GroupFormed(many=True, allow_empty=False, max_length=MOST_GROUPS)
    based_on = Whole(required=False, allow_null=True, help_text="Null: no groups were known.")


class Named(Document):
    id = Id()
    name = Text()


class Found(Document):
    code = Text()
    sentence = Text()
    students = serializers.ListField(child=Id())
    role = Text(allow_null=True)


class Seats(Document):
    role = OneOf(ROLES)
    students = Named(many=True)


class Group(Document):
    number = Whole()
    id = Id(allow_null=True)
    locked = Flag()
    turn = Whole(help_text="The turn under the adults who spot.")
    seats = Seats(many=True)
    spotters = serializers.ListField(child=Text())
    spot = OneOf(SPOTS, allow_null=True, help_text="To begin with tonight.")
    ways_in = Text()
    ways_out = Text()
    stops = Found(many=True)
    asks = Found(many=True)
    says = Found(many=True)


class Elsewhere(Document):
    skill = Key()
    sentence = Text()
    placed = Flag()


class Left(Document):
    student = Named()
    reason = Text()
    sentence = Text()
    alternative = Elsewhere(allow_null=True)


class Change(Document):
    group = Whole(allow_null=True, help_text="From 1, as they were formed; then new ones.")
    sentence = Text()
    role = Text(allow_null=True)
    comes = serializers.ListField(child=Id())
    goes = serializers.ListField(child=Id())


class Groups(Document):
    skill = Key()
    name = Text()
    version = Whole(help_text="0: nothing was kept yet.")
    as_of = Moment()
    clean_when = Text()
    spot = Text()
    agreed_before = Text()
    caution = Text()
    proven = Flag(allow_null=True)
    groups = Group(many=True)
    still_to_place = Left(many=True)
    stops = Found(many=True, help_text="For all groups together.")
    changes = Change(many=True, help_text="The least that must change.")
    foot = Text()


class GroupsList(Document):
    rows = Groups(many=True)


class AnswerGiven(Document):
    skill = Key()
    code = Text()
    students = serializers.ListField(child=Id())
    role = Text(allow_null=True)
    reason = Text()
    sentence = Text()


def formed(said):
    """Groups as they were sent."""
    return tuple(Formed(one["seats"], one.get("id")) for one in said)


class VersionedGroups(View):
    """What groups of one skill are answered with: they carry their version."""

    def told(self, found):
        return self.answer(Groups, found, version=found.version)

    def changed(self, change, lesson, skill, **said):
        return self.told(
            change(
                self.scope,
                lesson_id=lesson,
                skill=skill,
                version=self.if_match(),
                at=self.now,
                **said,
            )
        )


class LessonGroups(VersionedGroups):
    @takes(answers=GroupsList)
    def get(self, request, lesson):
        """All groups kept for a lesson, with what stops and asks now."""
        found = groups.of_lesson(self.scope, lesson_id=lesson, at=self.now)
        return self.answer(GroupsList, {"rows": found})

    @takes(body=OfSkill, answers=Groups)
    def post(self, request, lesson):
        """Propose groups for a skill, round what is locked and near to what is kept; nothing is
        stored. The ETag is the version to keep them with."""
        said = self.read(OfSkill)
        return self.told(groups.propose(self.scope, lesson_id=lesson, at=self.now, **said))


class GroupsCheck(VersionedGroups):
    @takes(body=FormedOfSkill, answers=Groups)
    def post(self, request, lesson):
        """Check groups as children or a teacher formed them: stops, asks, says, and the least
        change that makes them work; nothing is stored."""
        said = self.read(FormedOfSkill)
        found = groups.check(
            self.scope,
            lesson_id=lesson,
            skill=said["skill"],
            groups=formed(said["groups"]),
            at=self.now,
        )
        return self.told(found)


class SkillGroups(VersionedGroups):
    @takes(answers=Groups)
    def get(self, request, lesson, skill):
        """The groups kept for a skill; version 0 where there never were any."""
        found = groups.of_skill(self.scope, lesson_id=lesson, skill=skill, at=self.now)
        return self.told(found)

    @takes(body=GroupsFormed, answers=Groups, if_match=True, also=(409,))
    def put(self, request, lesson, skill):
        """Keep groups as they were formed. Nothing that stops is kept; open asks stay visible."""
        said = self.read(GroupsFormed)
        return self.changed(group_changes.put, lesson, skill, groups=formed(said["groups"]))

    @takes(answers=Groups, if_match=True, also=(409,))
    def delete(self, request, lesson, skill):
        """Take back all groups of a skill; the version goes on."""
        return self.changed(group_changes.clear, lesson, skill)


class GroupsRegroup(VersionedGroups):
    @takes(answers=Groups, if_match=True, also=(409,))
    def post(self, request, lesson, skill):
        """Keep what is proposed: round what is locked, with the least change of what is kept.
        With "v0" it keeps a first proposal."""
        return self.changed(group_changes.regroup, lesson, skill)


class GroupsSwap(VersionedGroups):
    @takes(body=Swap, answers=Groups, if_match=True, also=(409,))
    def post(self, request, lesson, skill):
        """Two children in each other's place; one of them may have none."""
        return self.changed(group_changes.swap, lesson, skill, **self.read(Swap))


class GroupsMove(VersionedGroups):
    @takes(body=Move, answers=Groups, if_match=True, also=(409,))
    def post(self, request, lesson, skill):
        """A child into a role of a group, of a new one, or into none."""
        said = {"group": None, "role": None} | self.read(Move)
        return self.changed(group_changes.move, lesson, skill, **said)


class GroupsLock(VersionedGroups):
    @takes(body=Lock, answers=Groups, if_match=True, also=(409,))
    def post(self, request, lesson, skill):
        """Lock a group, so that nothing changes it, or unlock it."""
        return self.changed(group_changes.lock, lesson, skill, **self.read(Lock))


class GroupsLatecomer(VersionedGroups):
    @takes(body=Latecomer, answers=Groups, if_match=True, also=(409,))
    def post(self, request, lesson, skill):
        """A place for a child who comes late: at the end of a line, in a free place, else by the
        least change."""
        return self.changed(group_changes.take_in, lesson, skill, **self.read(Latecomer))


class Asks(View):
    @takes(body=NewAnswer, answers=AnswerGiven, status=201, also=(409,))
    def post(self, request, lesson):
        """Pass an ask for this evening, with a reason; what was passed already stands."""
        said = {"role": None} | self.read(NewAnswer)
        found = answers.answer(self.scope, lesson_id=lesson, at=self.now, **said)
        return self.answer(AnswerGiven, found, status=201)


class GroupBatch(Batch):
    late_members = True
    most_rows = 50

    @takes(body=batch_of(GroupsMade), answers=RowAnswers)
    def post(self, request):
        """Groups made offline, row by row, at most 50; where something newer stands a row is
        refused as `newer` and nothing changes."""
        return self.hand_in(
            GroupsMade,
            lambda said: group_batches.store(
                self.scope,
                rows=[GroupsRow(**row | {"groups": formed(row["groups"])}) for row in said],
                at=self.now,
            ),
        )


OF_SKILL = "lessons/<uuid:lesson>/groups/<slug:skill>"

urls = [
    path("groups/batch", GroupBatch.as_view(), name="groups-batch"),
    path("lessons/<uuid:lesson>/asks", Asks.as_view(), name="lesson-asks"),
    path("lessons/<uuid:lesson>/groups", LessonGroups.as_view(), name="groups"),
    path("lessons/<uuid:lesson>/groups/check", GroupsCheck.as_view(), name="groups-check"),
    path(OF_SKILL, SkillGroups.as_view(), name="groups-skill"),
    path(f"{OF_SKILL}/regroup", GroupsRegroup.as_view(), name="groups-regroup"),
    path(f"{OF_SKILL}/swap", GroupsSwap.as_view(), name="groups-swap"),
    path(f"{OF_SKILL}/move", GroupsMove.as_view(), name="groups-move"),
    path(f"{OF_SKILL}/lock", GroupsLock.as_view(), name="groups-lock"),
    path(f"{OF_SKILL}/latecomer", GroupsLatecomer.as_view(), name="groups-latecomer"),
]
