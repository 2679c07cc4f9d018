"""Staff: who is there, taken on, changed, and taken leave of."""

from django.urls import path
from rest_framework import serializers

from accounts import staff
from accounts.staff_rows import STAFF_ROLES
from api.base import View
from api.fields import Day, Document, Flag, Id, Key, Moment, OneOf, Text, Whole
from api.parsers import FileParser
from api.schema import takes

SPOTS = "The keys of the families that she may spot, or “all” alone."


def _studios(**options):
    return serializers.ListField(child=Id(), max_length=100, **options)


def _may_spot(**options):
    return serializers.ListField(child=Key(), max_length=200, help_text=SPOTS, **options)


class NewMember(Document):
    name = Text(max_length=80, help_text="Given name and initial, such as “Tendai R.”")
    role = OneOf(STAFF_ROLES)
    adult = Flag()
    studios = _studios(required=False)
    may_spot = _may_spot(required=False)
    from_date = Day(required=False, allow_null=True)
    until = Day(required=False, allow_null=True, help_text="The last day of a cover teacher.")


class MemberChange(Document):
    role = OneOf(STAFF_ROLES, required=False)
    adult = Flag(required=False)
    studios = _studios(required=False)
    may_spot = _may_spot(required=False)
    from_date = Day(required=False, allow_null=True)
    until = Day(required=False, allow_null=True)


class Member(Document):
    id = Id()
    name = Text()
    role = OneOf(STAFF_ROLES)
    adult = Flag()
    studios = _studios(source="studio_ids")
    may_spot = _may_spot()
    from_date = Day(allow_null=True)
    until = Day(allow_null=True)
    revoked_at = Moment(allow_null=True, help_text="When her access was taken away.")


class MemberList(Document):
    rows = Member(many=True)


class StaffFileQuery(Document):
    dry_run = Flag(required=False, help_text="Check only.")


class StaffLoaded(Document):
    mapping = Text(help_text="How the headers were understood.")
    new = serializers.ListField(child=Text())
    changed = serializers.ListField(child=Text())
    standing = Whole(help_text="How many stand already as their rows say.")
    absent = serializers.ListField(
        child=Text(), help_text="Whom the file does not name; they are left as they are."
    )


class Staff(View):
    @takes(answers=MemberList)
    def get(self, request):
        """Herself, the head teachers and whoever shares a studio with her today, by name; for a
        head teacher everybody, with access that begins later, has ended or was taken away."""
        rows = staff.members(self.scope, at=self.now)
        return self.answer(MemberList, {"rows": rows})

    @takes(body=NewMember, answers=Member, status=201)
    def post(self, request):
        """Take somebody on; a role holds at the studios that are named, a head teacher's at all."""
        said = self.read(NewMember)
        found = staff.appoint(self.scope, name=said.pop("name"), said=said, at=self.now)
        return self.answer(Member, found, status=201)


class OneMember(View):
    @takes(answers=Member)
    def get(self, request, member):
        """One of the staff."""
        found = staff.member(self.scope, member_id=member, at=self.now)
        return self.answer(Member, found)

    @takes(body=MemberChange, answers=Member, also=[409])
    def patch(self, request, member):
        """Change what is sent, and leave the rest."""
        said = self.read(MemberChange)
        found = staff.change(self.scope, member_id=member, said=said, at=self.now)
        return self.answer(Member, found)


class Revoked(View):
    @takes(answers=Member, also=[409])
    def post(self, request, member):
        """Take her access away for good; her tokens end at once."""
        return self.answer(Member, staff.revoke(self.scope, member_id=member, at=self.now))


class StaffFile(View):
    parser_classes = [FileParser]

    @takes(query=StaffFileQuery, file=True, answers=StaffLoaded)
    def post(self, request):
        """A table of staff, all of it or nothing. The same again changes nothing."""
        asked = self.asked(StaffFileQuery)
        loaded = staff.load(self.scope, content=self.file(), at=self.now, **asked)
        return self.answer(StaffLoaded, loaded)


urls = [
    path("staff", Staff.as_view(), name="staff"),
    path("staff/file", StaffFile.as_view(), name="staff-file"),
    path("staff/<uuid:member>", OneMember.as_view(), name="member"),
    path("staff/<uuid:member>/revoke", Revoked.as_view(), name="member-revoke"),
]
