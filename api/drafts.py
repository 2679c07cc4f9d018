"""Drafts: a curriculum in writing, its checks, and its publishing."""

from django.urls import path
from rest_framework import serializers
from rest_framework.response import Response

from api.base import View
from api.fields import Document, Id, Key, Text, Whole
from api.parsers import FileParser
from api.schema import takes
from curriculum import drafts


class Draft(Document):
    id = Id()
    name = Text()
    note = Text()
    version = Whole(help_text="For If-Match, which the ETag gives too.")
    digest = Text()


class DraftList(Document):
    rows = Draft(many=True)


class TaggedCard(Document):
    skill = Key()
    tag = Text(help_text="For If-Match, which the ETag of the card gives too.")


class WholeDraft(Draft):
    outline_tag = Text()
    cards = TaggedCard(many=True, help_text="In teaching order.")
    document = serializers.DictField(help_text="A document of the format curriculum/1.")


class Finding(Document):
    pointer = Text(source="place", help_text="Where in the document: the skill, and the role.")
    detail = Text(source="message")


class Difference(Document):
    number = Whole(allow_null=True, help_text="The newest edition, null when there is none.")
    added = serializers.ListField(child=Key())
    changed = serializers.ListField(child=Key())
    gone = serializers.ListField(child=Key())


class Checks(Document):
    faults = Finding(many=True, help_text="What forbids to publish it.")
    warnings = Finding(many=True, help_text="What to look at again.")
    difference = Difference()


class Published(Document):
    number = Whole()
    added = serializers.ListField(child=Key())
    changed = serializers.ListField(child=Key())
    gone = serializers.ListField(child=Key())


class Drafts(View):
    parser_classes = [FileParser]

    @takes(answers=DraftList)
    def get(self, request):
        """The drafts of the school, the oldest first."""
        return self.answer(DraftList, {"rows": drafts.drafts(self.scope)})

    @takes(file=True, answers=Draft, status=201, also=(409,))
    def post(self, request):
        """Keep a YAML file of the format curriculum/1 as a draft, with the faults of its graph."""
        found = drafts.load(self.scope, content=self.file(), at=self.now)
        return self.answer(Draft, found, status=201, version=found.version)


class OneDraft(View):
    parser_classes = [FileParser]

    @takes(answers=WholeDraft)
    def get(self, request, draft):
        """A draft with its document."""
        found = drafts.draft(self.scope, draft_id=draft)
        return self.answer(WholeDraft, found, version=found.version)

    @takes(file=True, answers=Draft, if_match=True, also=(409,))
    def put(self, request, draft):
        """Put another YAML file in place of the version that was read."""
        found = drafts.change(
            self.scope,
            draft_id=draft,
            version=self.if_match(),
            content=self.file(),
            at=self.now,
        )
        return self.answer(Draft, found, version=found.version)

    @takes(status=204, if_match=True, also=(409,))
    def delete(self, request, draft):
        """Delete the version that was read."""
        drafts.discard(self.scope, draft_id=draft, version=self.if_match(), at=self.now)
        return Response(status=204)


class EditionDraft(View):
    @takes(answers=Draft, status=201, also=(409,))
    def post(self, request, number):
        """Begin a draft with what a published edition says."""
        found = drafts.begin(self.scope, number=number, at=self.now)
        return self.answer(Draft, found, status=201, version=found.version)


class DraftChecks(View):
    @takes(answers=Checks)
    def get(self, request, draft):
        """What publishing would refuse, what to look at again, and what would differ."""
        return self.answer(Checks, drafts.check(self.scope, draft_id=draft))


class DraftPublish(View):
    @takes(answers=Published, status=201, if_match=True, also=(409,))
    def post(self, request, draft):
        """Publish the version that was read as the next edition."""
        found = drafts.publish(self.scope, draft_id=draft, version=self.if_match(), at=self.now)
        return self.answer(Published, found, status=201)


urls = [
    path("editions/<int:number>/draft", EditionDraft.as_view(), name="edition-draft"),
    path("drafts", Drafts.as_view(), name="drafts"),
    path("drafts/<uuid:draft>", OneDraft.as_view(), name="draft"),
    path("drafts/<uuid:draft>/checks", DraftChecks.as_view(), name="draft-checks"),
    path("drafts/<uuid:draft>/publish", DraftPublish.as_view(), name="draft-publish"),
]
