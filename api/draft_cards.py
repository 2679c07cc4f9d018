"""The cards and the outline of a draft, each under its own tag."""

from django.urls import path, register_converter
from django.urls.converters import StringConverter
from drf_spectacular.types import OpenApiTypes
from rest_framework import serializers
from rest_framework.response import Response

from api.base import View
from api.drafts import TaggedCard
from api.editions import Family, Succession
from api.fields import Document, Id, Key, Lines, Moment, Text, Whole
from api.parsers import JSONFileParser
from api.schema import takes
from curriculum import draft_cards
from curriculum.parts import Outline as SaidOutline

MOST_SUCCESSIONS = 1000
MOST_HEIRS = 8


class KeyInPath(StringConverter):
    """The key of a skill in an address; where there is none, no route leads."""

    regex = "[a-z][a-z0-9_]{0,59}"


register_converter(KeyInPath, "key")


class CardInDraft(Document):
    skill = Key()
    tag = Text()
    version = Whole(help_text="The draft's, for publishing it.")
    outline_tag = Text()
    document = serializers.DictField(help_text="A card of the format curriculum/1.")


class NewPlace(Document):
    after = Key(required=False, help_text="Where a card that is added stands; without, at the end.")


class CardFinding(Document):
    skill = Key(allow_null=True)
    pointer = Text(help_text="In the card of the skill; without a skill in the document.")
    detail = Text(source="message")


class CardChecks(Document):
    faults = CardFinding(many=True, help_text="What forbids to publish the draft with it.")
    warnings = CardFinding(many=True, help_text="What to look at again; nothing beside faults.")


class Outline(Document):
    name = Text(max_length=120)
    note = Lines(max_length=600, allow_blank=True)
    families = Family(many=True, allow_empty=False, help_text="In teaching order.")
    skills = serializers.ListField(
        child=Key(), help_text="Each card of the draft once, in teaching order."
    )
    successions = Succession(many=True, max_length=MOST_SUCCESSIONS)

    def to_representation(self, outline):
        steps = ({"from_key": one, "to_key": other} for one, other in outline.successions)
        return {
            "name": outline.name,
            "note": outline.note,
            "families": [{"key": key, "name": name} for key, name in outline.families],
            "skills": list(outline.skills),
            "successions": list(steps),
        }


class TaughtBefore(Document):
    skill = Key()
    name = Text()


class OutlineInDraft(Document):
    tag = Text()
    version = Whole(help_text="The draft's, for publishing it.")
    outline = Outline()
    taught_before = TaughtBefore(
        many=True, help_text="Skills of editions without a card in the draft: it may carry them on."
    )


class Editor(Document):
    id = Id()
    name = Text()


class StandingCard(Document):
    tag = Text(allow_null=True)
    document = serializers.DictField(allow_null=True)
    changed_at = Moment(allow_null=True)
    changed_by = Editor(allow_null=True)


class StandingOutline(StandingCard):
    document = Outline()


class Renamed(Document):
    to = Key()


class Heir(Document):
    key = Key()
    name = Text(max_length=120)


class Split(Document):
    into = Heir(many=True, min_length=2, max_length=MOST_HEIRS)


class Merged(Document):
    into = Key(help_text="The card that carries it on.")


class CarriedOn(Document):
    version = Whole()
    outline_tag = Text()
    cards = TaggedCard(many=True, help_text="All of the draft, in teaching order.")
    changed = serializers.ListField(
        child=Key(), help_text="Cards that are new, or need another thing than before."
    )


class PartView(View):
    """A part of a draft: whoever comes second is told what stands."""

    standing = StandingCard

    def handle_exception(self, exc):
        response = super().handle_exception(exc)
        if isinstance(exc, draft_cards.StalePart):
            response.data["current"] = self.standing(exc.standing).data
        return response


class DraftCard(PartView):
    parser_classes = [JSONFileParser]

    @takes(answers=CardInDraft)
    def get(self, request, draft, skill):
        """One card of a draft."""
        found = draft_cards.card(self.scope, draft_id=draft, skill=skill)
        return self.answer(CardInDraft, found, tag=found.tag)

    @takes(
        body=OpenApiTypes.OBJECT,
        query=NewPlace,
        answers=CardInDraft,
        if_match=True,
        may_add=True,
        also=(409,),
    )
    def put(self, request, draft, skill):
        """Put a card of the format curriculum/1 in place of the one that was read, or add it.

        If-Match names the card that was read; `If-None-Match: *` says that there was none.
        """
        found = draft_cards.put(
            self.scope,
            draft_id=draft,
            skill=skill,
            tag=self.tag_read(may_add=True),
            content=self.file(),
            at=self.now,
            **self.asked(NewPlace),
        )
        return self.answer(CardInDraft, found, tag=found.tag)

    @takes(status=204, if_match=True, also=(409,))
    def delete(self, request, draft, skill):
        """Take out the card that was read; who needs it still says so."""
        draft_cards.delete(
            self.scope, draft_id=draft, skill=skill, tag=self.tag_read(), at=self.now
        )
        return Response(status=204)


class DraftCardChecks(View):
    parser_classes = [JSONFileParser]

    @takes(body=OpenApiTypes.OBJECT, answers=CardChecks)
    def post(self, request, draft, skill):
        """What publishing would say of the draft with this card in it; nothing is kept."""
        found = draft_cards.check(self.scope, draft_id=draft, skill=skill, content=self.file())
        return self.answer(CardChecks, found)


class DraftOutline(PartView):
    standing = StandingOutline

    @takes(answers=OutlineInDraft)
    def get(self, request, draft):
        """Name, note, families, teaching order and successions of a draft."""
        found = draft_cards.outline(self.scope, draft_id=draft)
        return self.answer(OutlineInDraft, found, tag=found.tag)

    @takes(body=Outline, answers=OutlineInDraft, if_match=True, also=(409,))
    def put(self, request, draft):
        """Put another outline in place of the one that was read."""
        said = self.read(Outline)
        outline = SaidOutline(
            name=said["name"],
            note=said["note"],
            families=tuple((one["key"], one["name"]) for one in said["families"]),
            skills=tuple(said["skills"]),
            successions=tuple((one["from_key"], one["to_key"]) for one in said["successions"]),
        )
        found = draft_cards.change_outline(
            self.scope, draft_id=draft, tag=self.tag_read(), said=outline, at=self.now
        )
        return self.answer(OutlineInDraft, found, tag=found.tag)


class CarryingOn(PartView):
    """A card is carried on by others: tries count for them, a teacher's yes does not."""

    def carry_on(self, change, draft, skill, **said):
        found = change(
            self.scope, draft_id=draft, skill=skill, tag=self.tag_read(), at=self.now, **said
        )
        return self.answer(CarriedOn, found)


class DraftCardRename(CarryingOn):
    @takes(body=Renamed, answers=CarriedOn, if_match=True, also=(409,))
    def post(self, request, draft, skill):
        """Give the card that was read another key; what needs it needs the new one."""
        return self.carry_on(draft_cards.rename, draft, skill, **self.read(Renamed))


class DraftCardSplit(CarryingOn):
    @takes(body=Split, answers=CarriedOn, if_match=True, also=(409,))
    def post(self, request, draft, skill):
        """Put copies in place of the card that was read; what needs it needs all of them."""
        into = [(heir["key"], heir["name"]) for heir in self.read(Split)["into"]]
        return self.carry_on(draft_cards.split, draft, skill, into=into)


class DraftCardMerge(CarryingOn):
    @takes(body=Merged, answers=CarriedOn, if_match=True, also=(409,))
    def post(self, request, draft, skill):
        """Take out the card that was read; what needs it needs the one it goes into."""
        return self.carry_on(draft_cards.merge, draft, skill, **self.read(Merged))


CARD = "drafts/<uuid:draft>/cards/<key:skill>"
urls = [
    path(CARD, DraftCard.as_view(), name="draft-card"),
    path(f"{CARD}/checks", DraftCardChecks.as_view(), name="draft-card-checks"),
    path(f"{CARD}/rename", DraftCardRename.as_view(), name="draft-card-rename"),
    path(f"{CARD}/split", DraftCardSplit.as_view(), name="draft-card-split"),
    path(f"{CARD}/merge", DraftCardMerge.as_view(), name="draft-card-merge"),
    path("drafts/<uuid:draft>/outline", DraftOutline.as_view(), name="draft-outline"),
]
