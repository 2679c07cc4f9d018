"""Differences: what changed between two curricula, said card by card in words.

Of a skill that is carried on by others the difference is told from its own card: a rename is no new
skill and no old one gone.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import pairwise
from uuid import UUID

from accounts.scope import Scope
from curriculum import drafts, editions, successions
from curriculum.card_changes import Change, Names, changes, needed
from curriculum.cards import views
from curriculum.editions import heirs

WHATS = ("new", "changed", "renamed", "carries_on", "gone")
NOTHING: Mapping = {"name": "", "families": {}, "skills": {}}
NO_YES = "a teacher's yes does not"


@dataclass(frozen=True)
class CardDifference:
    """What changed of one skill, `what` being one of `WHATS`.

    `was` are the skills of before that it carries on: one for what is `renamed`, several in a
    merge; after a split several cards carry on the same one.
    """

    skill: str
    name: str
    what: str
    was: tuple[str, ...]
    changes: tuple[Change, ...]


@dataclass(frozen=True)
class Difference:
    """What changed since edition `number` (None: since there was nothing): beside the cards, and of
    each card that changed, in teaching order and then those that are gone."""

    number: int | None
    outline: tuple[Change, ...]
    cards: tuple[CardDifference, ...]


def of_draft(scope: Scope, *, draft_id: UUID, number: int | None = None) -> Difference:
    """This will tell what a draft changes in an edition, without one in the newest that stands.

    Raises `NotAllowed`, and `Unknown` for the draft or the edition.
    """
    after = drafts.draft(scope, draft_id=draft_id).document
    number = editions.newest_number(scope) if number is None else number
    return _since(scope, after, since=number)


def of_edition(scope: Scope, *, number: int, since: int | None = None) -> Difference:
    """This will tell what an edition changes in another, without one in the last before it that
    stands. Raises `Unknown` for either."""
    after = editions.said(scope, number=number)
    since = editions.newest_number(scope, before=number) if since is None else since
    return _since(scope, after, since=since, until=number)


def _since(scope, after, *, since, until=None):
    """What a document changes in an edition; what came between them carries skills on too."""
    if since is None:
        return difference(NOTHING, after, number=None)
    before = editions.said(scope, number=since)
    own = {(step["from"], step["to"]) for step in after.get("succession", ())}
    steps = own | successions.steps(scope, after=since, until=until)
    return difference(
        before, after, number=since, steps=steps - successions.steps(scope, until=since)
    )


def difference(
    before: Mapping,
    after: Mapping,
    *,
    number: int | None,
    steps: Collection[tuple[str, str]] = (),
) -> Difference:
    """This will tell what changed between two documents of curriculum/1.

    `steps` are the successions that are new: pairs of skill keys.
    """
    between = _Between(before, after, steps)
    cards = (*map(between.card, after["skills"]), *map(between.gone, before["skills"]))
    outline = () if before is NOTHING else tuple(_outline(before, after))
    return Difference(number, outline, tuple(one for one in cards if one))


class _Between:
    """Two documents, and which skills of the first those of the second carry on."""

    def __init__(self, before, after, steps):
        self.old, self.new = before["skills"], after["skills"]
        # What one of them does not have is read by the other: a need on it is no other need.
        self.was, self.now = views({**self.new, **self.old}), views({**self.old, **self.new})
        self.onward = {key: heirs(steps, key) & self.new.keys() for key in self.old}
        self.carried = {
            key: tuple(one for one in self.old if key in self.onward[one]) for key in self.new
        }
        # Old key -> new key, where one skill is carried on by one and by nothing else.
        self.renamed = {
            one: key
            for one, onward in self.onward.items()
            for key in onward
            if one not in self.new
            and key not in self.old
            and (onward, self.carried[key]) == ({key}, (one,))
        }
        self.moved = _moved([self.renamed.get(key, key) for key in self.old], list(self.new))
        cards = {**self.old, **self.new}
        self.names = Names(
            skill=lambda key: cards[key]["name"] if key in cards else key,
            families=(before["families"], after["families"]),
            heirs=lambda key: self.onward.get(key, frozenset()),
            alone=lambda key: len(cards.get(key, {}).get("roles", ())) == 1,
        )

    def card(self, key) -> CardDifference | None:
        """What changed of a card of the second document; None where nothing did."""
        carried, base = self.carried[key], key
        if key not in self.old:
            base = next(iter(carried), None)
        what = "changed"
        if key not in self.old:
            what = "carries_on" if carried else "new"
        said = [
            Change("succession", f"tries of “{self.old[one]['name']}” count for it, {NO_YES}")
            for one in carried
        ]
        if key in self.renamed.values():
            what = "renamed"
            said = [Change("succession", f"it has another key: tries count on, {NO_YES}")]
        if base is None:
            said += needed(self.now[key], self.names)
        else:
            found = changes(
                self.old[base],
                self.new[key],
                was=self.was[base],
                now=self.now[key],
                names=self.names,
            )
            # What carries another on is a skill of its own: it has a name, and no other one.
            said += [one for one in found if what != "carries_on" or one.kind != "name"]
        if key in self.moved:
            before = self.moved[key]
            after = (
                f"it comes after “{self.new[before]['name']}” now"
                if before
                else "it comes first now"
            )
            said.append(Change("order", after))
        if what == "changed" and not said:
            return None
        return CardDifference(key, self.new[key]["name"], what, carried, tuple(said))

    def gone(self, key) -> CardDifference | None:
        """What became of a card of the first document; None where it is told of elsewhere."""
        if key in self.new or key in self.renamed:
            return None
        says = "it is taught no more; what was tried stays in the log"
        if self.onward[key]:
            called = (
                f"“{card['name']}”" for one, card in self.new.items() if one in self.onward[key]
            )
            says = f"its tries count for {' and '.join(called)}, {NO_YES}"
        return CardDifference(key, self.old[key]["name"], "gone", (), (Change("succession", says),))


def _moved(old: list[str], new: list[str]) -> dict[str, str | None]:
    """The keys that stand elsewhere among those of both, and after which one (None: first)."""
    both = {*old} & {*new}
    before, after = ([key for key in keys if key in both] for keys in (old, new))
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    stay = {
        key for block in matcher.get_matching_blocks() for key in before[block.a :][: block.size]
    }
    return {key: one for one, key in pairwise((None, *new)) if key in both - stay}


def _outline(before, after) -> Iterator[Change]:
    if before["name"] != after["name"]:
        yield Change("name", f"called “{after['name']}” now, it was “{before['name']}”")
    notes = before.get("note"), after.get("note")
    if notes[0] != notes[1]:
        yield Change("text", "the note on the whole has changed", *notes)
    old, new = before["families"], after["families"]
    for key in dict.fromkeys((*new, *old)):
        if key not in old:
            yield Change("family", f"the family “{new[key]}” is new")
        elif key not in new:
            yield Change("family", f"the family “{old[key]}” is gone")
        elif old[key] != new[key]:
            yield Change("family", f"the family “{old[key]}” is called “{new[key]}” now")
    for key, one in _moved(list(old), list(new)).items():
        says = f"after “{new[one]}”" if one else "first"
        yield Change("order", f"the family “{new[key]}” comes {says} now")
