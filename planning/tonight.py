"""Tonight's sheet: who is here, who is ready for what, what suits, groups with their reasons."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from accounts.scope import Unknown
from curriculum.cards import CardView
from planning import gates
from planning.by_hand import Formed
from planning.evening import Child, Evening, local
from planning.group_lines import group_section
from planning.least_change import proposed_again
from planning.proposals import Proposal, open_roles
from planning.reasons import Standing, advice, missing, named, spot_words
from planning.says import says
from planning.sheet import Entry, Section, Sheet
from planning.suggestions import Suggestion, Suggestions, suggestions
from planning.words import (
    CAUTION,
    RESTED,
    day,
    joined,
    long_day,
    lower_first,
    number,
    spoken,
)

MINUTES_A_SKILL = 20  # common practice, no published source: two new skills fill a class of 45
MOST_SKILLS = 3
MOST_LEFT_OUT = 3  # names are then shorter the other way round
LITTLE = 3  # skills with tries per child; below it the sheet says what to look at first


def make_sheet(
    evening: Evening,
    *,
    skills: tuple[str, ...] = (),
    before: Mapping[str, Sequence[Formed]] = MappingProxyType({}),
    kept: tuple[Proposal, ...] = (),
) -> tuple[Sheet, tuple[Proposal, ...]]:
    """This will make the sheet of an evening and the proposals that stand on it.

    `skills` are keys chosen by the teacher; without them those of which groups were kept, else the
    best suggestions. `before` are the groups kept before for a skill, which are changed as little
    as possible and not at all where they are locked; `kept` ones stand on it as they are, and
    nothing is proposed beside them.
    Raises `Unknown` for a key that the edition does not have or that is done alone.
    """
    found = suggestions(evening)
    proposals = kept or _proposed(evening, found, skills, before)
    on_it = {one.card.key for one in proposals}
    others = [one.proposal for one in found.groups if one.proposal and one.card.key not in on_it]
    sections = [
        _who(evening),
        _not_for_now(evening),
        _look_first(evening),
        _suggested(evening, found),
        *(group_section(evening, proposal, proposals, others) for proposal in proposals),
        _keep_in_mind(evening, proposals),
        _children(evening),
    ]
    sheet = Sheet(
        title=f"{evening.klass.name}, {long_day(evening.lesson.on)}",
        subtitle=_subtitle(evening),
        known=known(evening),
        sections=tuple(section for section in sections if section and section.entries),
        foot=CAUTION,
    )
    return sheet, proposals


def _proposed(evening, found, skills, before):
    """The groups of the chosen skills; what was worked out already is not worked out again."""
    stood = tuple(key for key in evening.edition.cards if before.get(key))
    solved = {one.card.key: one.proposal for one in found.groups}
    return tuple(
        proposed_again(evening, card, before.get(card.key, ()))
        if card.key in stood or solved.get(card.key) is None
        else solved[card.key]
        for card in chosen(evening, found, skills or stood)
    )


def chosen(evening: Evening, found: Suggestions, keys: tuple[str, ...]) -> list[CardView]:
    """The cards to make groups for: those named, else the best of different families."""
    if keys:
        cards = []
        for key in dict.fromkeys(keys):
            card = evening.edition.cards.get(key)
            if card is None:
                raise Unknown(f"--skill: no skill “{key}” in {evening.edition.name}")
            if open_roles(card) == ("solo",) or card.skill.habit:
                raise Unknown(f"--skill: {card.name} needs no groups")
            cards.append(card)
        return cards
    most = max(1, min(MOST_SKILLS, evening.minutes // MINUTES_A_SKILL))
    by_family: dict[str, CardView] = {}
    for one in found.groups:
        if one.proposal:
            by_family.setdefault(one.card.skill.family, one.card)
    return list(by_family.values())[:most]


def _subtitle(evening):
    starts = local(evening.lesson.starts_at, evening.klass)
    parts = [
        f"{starts:%H:%M}, {evening.minutes} minutes, {evening.klass.studio_name}",
        f"{evening.edition.name} (edition {evening.edition.number})",
    ]
    if evening.closed:
        parts.append(f"no lesson that day: {evening.closed}")
    return "; ".join(parts)


def known(evening: Evening) -> str:
    """As known at which moment, and up to which try: told from what is known, by no clock."""
    seen = [one.evidence for child in evening.here for one in child.judged.values()]
    times = [t.at for t in evening.tries] + [one.belief.last_at for one in seen if one]
    last = max(times, default=None)
    if last is None:
        return "As known before anything was logged."
    moment = local(last, evening.klass)
    as_of = local(evening.as_of, evening.klass)
    if moment > as_of:
        return (
            f"Judged as at {as_of:%H:%M} on {day(as_of.date())}, with all tries that are known,"
            f" the last of {day(moment.date())}."
        )
    return (
        f"As known at {as_of:%H:%M} on {day(as_of.date())}, from tries up to {day(moment.date())}."
    )


def _who(evening):
    not_today = [child.name for child in evening.here if child.not_today]
    entries = [
        Entry(joined(child.name for child in evening.playing) or "nobody", "Here"),
        Entry(joined(child.name for child in evening.away), "Away") if evening.away else None,
        Entry(joined(not_today), "Not today") if not_today else None,
        Entry(
            joined(adult.name for adult in evening.spotters)
            or "nobody is named: no lifts and nothing that is spotted",
            "Free to spot",
        ),
        Entry(_room(evening), "Room"),
    ]
    if any(child.trial for child in evening.here):
        trial = joined(child.name for child in evening.here if child.trial)
        entries.append(Entry(trial, "On trial"))
    heading = f"Who is here ({len(evening.here)})"
    return Section(heading, tuple(entry for entry in entries if entry))


def _room(evening):
    room = f"{spoken(evening.adults_in_room, 'adult')} in the room"
    needed = gates.adults_needed(evening)
    if evening.adults_in_room < needed:
        room += f", {number(needed)} should be"
    if evening.surface:
        room += f"; floor: {evening.surface}"
    return f"{room}; {spoken(evening.mats, 'mat')}"


def _not_for_now(evening):
    return Section(
        "Not for now",
        tuple(
            Entry("; ".join(texts), child.name)
            for child in evening.here
            if (texts := not_for_now(evening, child))
        ),
    )


def not_for_now(evening: Evening, child: Child) -> tuple[str, ...]:
    """What rests of a child tonight and until when, never why."""
    texts = [f"{RESTED[block.blocks]} until {day(block.until)}" for block in child.restricted]
    texts += [
        f"{lower_first(evening.edition.cards[key].name)}: a teacher looks at it first"
        for key in sorted({k for id_, k, _ in evening.open_falls if id_ == child.id})
        if key in evening.edition.cards
    ]
    if gates.is_back(evening, child):
        weeks = spoken(gates.weeks_away(evening, child), "week")
        begin = ": begin with hands on" if gates.hands_may_touch(evening, child) else ""
        texts.append(f"back after {weeks}{begin}")
    return tuple(texts)


def _look_first(evening):
    """With little logged: the few skills on which most answers hang."""
    logged = sum(1 for child in evening.here for one in child.judged.values() if one.evidence)
    if not evening.here or logged >= LITTLE * len(evening.here):
        return None
    hangs: dict[tuple[str, str], int] = {}
    for child in evening.playing:
        for (key, _), judged in child.judged.items():
            gap = judged.missing
            if gap is not None and not evening.edition.cards[key].skill.habit:
                leaf = (gap.leaf.skill, gap.leaf.role)
                hangs[leaf] = hangs.get(leaf, 0) + 1
    first = sorted(hangs, key=lambda leaf: (-hangs[leaf], evening.edition.cards[leaf[0]].position))
    entries = tuple(
        Entry(evening.edition.cards[key].criterion, named(evening.edition.cards[key], role))
        for key, role in first[:5]
    )
    return Section(
        "What to look at first",
        entries,
        leads=("Little is logged yet. These few settle most of what comes after.",),
    )


def _suggested(evening, found):
    entries = [_suggestion_entry(evening, one) for one in found.groups if one.proposal]
    bounded = [
        f"{lower_first(one.card.name)} (at most {number(one.at_most)})"
        for one in found.groups
        if one.proposal is None
    ]
    if bounded:
        entries.append(Entry(joined(bounded), "Also"))
    entries += [
        Entry(suggested(evening, one), f"{one.card.name}, each alone") for one in found.alone[:2]
    ]
    return Section(
        "What suits tonight",
        tuple(entries),
        leads=("Begun last time first. “Can be placed” is worked out; “at most” is a bound.",),
    )


def _learners(evening, one: Suggestion):
    """Whom a skill moves on; where that is nearly everybody, whom it does not."""
    others = [child.name for child in evening.playing if child not in one.learners]
    if not others:
        return "everybody"
    if len(others) <= MOST_LEFT_OUT and len(one.learners) > len(others):
        return f"everybody but {joined(others)}"
    return joined(child.name for child in one.learners)


def _of(some, everybody):
    """“six of ten”, and “6 of 12” where one of them has no word."""
    words = number(some), number(everybody)
    return f"{some} of {everybody}" if any(word.isdigit() for word in words) else " of ".join(words)


def _suggestion_entry(evening, one: Suggestion):
    return Entry(suggested(evening, one), one.card.name)


def suggested(evening: Evening, one: Suggestion) -> str:
    """What speaks for a skill tonight; of one that was not worked out only a bound is known."""
    if open_roles(one.card) == ("solo",):
        return f"moves on {_learners(evening, one)}"
    if one.proposal is None:
        return f"at most {number(one.at_most)}"
    text = f"{_of(one.at_most, len(evening.playing))} can be placed"
    text += f", moves on {_learners(evening, one)}"
    if not one.proposal.proven:
        text += " (found in the time there was)"
    if one.carries_on:
        text = f"carries on from {day(evening.last_lesson)}; {text}"
    return text


def _keep_in_mind(evening, proposals):
    found = says(evening, [(proposal.card, proposal.groups) for proposal in proposals])
    return Section("To keep in mind", tuple(Entry(text, label) for label, text in found))


def _children(evening):
    return Section(
        "Child by child",
        tuple(Entry(_child_text(evening, child), child.name) for child in evening.here),
        leads=("What goes on, what may begin, and what is missing for the next thing.",),
        kind="children",
    )


def _child_text(evening, child):
    going_on, beginning, gaps = [], [], []
    for card in evening.edition.cards.values():
        if card.skill.habit:
            continue
        for role in open_roles(card):
            if gates.stops(evening, card, role, child):
                continue
            one = Standing(card, role, child)
            if one.judged.ready and not one.judged.steady:
                if one.judged.evidence:
                    going_on.append(one)
                else:
                    beginning.append(one)
            elif not one.judged.ready:
                gaps.append(one)
    # What asked for something before is one step further than what asks for nothing.
    beginning.sort(key=lambda one: one.judged.source == "tree")
    going_on.sort(key=lambda one: one.judged.evidence.belief.last_at, reverse=True)
    parts = []
    if going_on:
        parts.append(
            "goes on with "
            + joined(
                f"{named(one.card, one.role)}"
                f" ({spot_words(advice(evening, one.card, one.role, child, new_pair=False))})"
                if one.card.spotted
                else named(one.card, one.role)
                for one in going_on[:2]
            )
        )
    if beginning:
        parts.append("may begin " + joined(named(one.card, one.role) for one in beginning[-1:]))
    if gaps:
        # Work with a partner is what the class is for; of equals the earlier one.
        nearest = max(
            gaps,
            key=lambda one: (one.role != "solo", one.judged.missing.p, -one.card.position),
        )
        parts.append(
            f"for {named(nearest.card, nearest.role)} what is missing is"
            f" {missing(evening, nearest, criterion=False)}"
        )
    logged = any(one.evidence for one in child.judged.values())
    return "; ".join(parts) or ("nothing new tonight" if logged else "nothing logged yet")
