"""What may be kept of groups, and by whom."""

from collections.abc import Sequence

from accounts.models import ASSISTANT
from accounts.scope import Conflict, Scope
from planning.by_hand import Check, Checked, Formed, wished
from planning.evening import Evening


def admit(scope: Scope, evening: Evening, before: Sequence[Formed], checked: Check) -> None:
    """This will refuse what may not be kept in place of what stood before: `NotAllowed` what is a
    teacher's to keep, `Conflict` a locked group that would change, and what stops in a group that
    is new or changed."""
    if checked.card.lifted or for_a_teacher(evening, before, checked):
        scope.need_teacher("groups that lift or ask")
    after = {group.formed.id: group for group in checked.groups}
    for number, old in enumerate(before, 1):
        new = after.get(old.id)
        if old.locked and (new is None or new.formed.places != old.places):
            raise Conflict(f"group {number} is locked: a teacher unlocks it first")
    stood = {group.id: group.places for group in before}
    changed = [one for one in checked.groups if stood.get(one.formed.id) != one.formed.places]
    stops = [stop for one in changed for stop in one.stops]
    if changed:
        stops += checked.stops
    if stops:
        raise Conflict("; ".join(dict.fromkeys(stop.sentence for stop in stops)))


def for_a_teacher(
    evening: Evening, before: Sequence[Formed], checked: Check
) -> tuple[Checked, ...]:
    """This will tell which groups an assistant does not keep: all that lift or ask, and those
    against a wish, unless they stand already: whoever kept them knew of it."""
    stood = {group.places for group in before}
    return tuple(
        group
        for group in checked.groups
        if checked.card.lifted
        or group.asks
        or (group.formed.places not in stood and wished(evening, group.formed))
    )


def told_to(scope: Scope, evening: Evening) -> Evening:
    """The evening as far as its wishes are for whoever asks: they are a teacher's alone."""
    return evening.without_wishes if scope.role == ASSISTANT else evening
