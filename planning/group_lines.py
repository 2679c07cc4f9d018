"""Groups of one skill as lines of the sheet."""

from collections.abc import Sequence

from curriculum.cards import CardView
from engine.readiness.parameters import SPOTS
from planning.evening import Evening
from planning.gates import Ask
from planning.proposals import Proposal, Seats
from planning.reasons import advice, nearest_gap, spot_words, ways
from planning.sheet import Entry, Section
from planning.words import joined, lower_first, number, spoken

ASK_WORDS = {
    "yes": "a teacher's yes to begin for {}",
    "not_ready": "a teacher's yes to begin for {}",
    "pair": "“these two: yes” for {}",
    "back": "a look at {}",
    "height": "a teacher's look at {}",  # hers to know for what: the page hangs on the wall
    "floor": "a look at {}, new to this floor",
    "line": "a look at {}",
}


def group_section(
    evening: Evening,
    proposal: Proposal,
    beside: Sequence[Proposal],
    others: Sequence[Proposal] = (),
) -> Section:
    """The groups of a skill with their roles, spot, ways, stops, asks, and who is still to place.

    For whoever is left another hold is named: one of those `beside` it on the sheet, in which she
    has a place, else one of `others`, the best first, that were only worked out.
    """
    card = proposal.card
    common = _common_ways(evening, proposal)
    entries = [Entry(stop.sentence, "Stop") for stop in proposal.class_stops]
    entries += [
        _group_entry(evening, proposal, place, group, common)
        for place, group in enumerate(proposal.groups, 1)
    ]
    left: dict[str, list[str]] = {}
    for one in sorted(proposal.still_to_place, key=lambda one: one.child.rank):
        left.setdefault(_left_text(evening, one, card, beside, others), []).append(one.child.name)
    if left:
        lines = tuple(f"{joined(names)}: {text}" for text, names in left.items())
        everybody = number(sum(len(names) for names in left.values()))
        entries.append(Entry(everybody, "Still to place", lines))
    return Section(
        f"Groups: {card.name}", tuple(entries), leads=_leads(proposal, common), kind="groups"
    )


def _left_text(evening, one, card, beside, others):
    """Why a child is left, and a hold in which she has a place or could have one."""
    text = one.sentence
    if one.reason == "not_ready":
        text = f"missing is {nearest_gap(evening, card, one.child)}"
    text = lower_first(text.rstrip("."))
    for words, found in (("has a place", beside), ("there would be a place", others)):
        for other in found:
            if other.card is not card and any(
                one.child in group.children for group in other.groups
            ):
                return f"{text}; {words} in {lower_first(other.card.name)}"
    return text


def _leads(proposal, common):
    """What holds for every group: when it is clean, the spot, ways, what is agreed, the caution."""
    card = proposal.card
    spot = [f"Spot: {card.spot['stands'].rstrip('.')}."] if card.spot else []
    if card.lifted:
        spot.append("One group up at a time for each adult; the others wait beside the mat.")
    lines = [
        f"Clean when: {card.criterion.rstrip('.')}.",
        " ".join(spot),
        " ".join(common),
        agreed_before(card),
        f"{card.caution.rstrip('.')}." if card.caution else "",
        "" if proposal.proven else "Found in the time there was.",
    ]
    return tuple(line for line in lines if line)


def agreed_before(card: CardView) -> str:
    """What the group agrees before it starts, in the order in which it is said."""
    agreed = card.agreed_before
    parts = [agreed[key] for key in ("count", "first") if key in agreed]
    if "steps" in agreed:
        parts.append(spoken(agreed["steps"], "step"))
    if "way_out" in agreed:
        parts.append(f"way out: {agreed['way_out']}")
    return f"Agreed before: {', '.join(parts)}." if parts else ""


def _way_lines(evening, card, group):
    """The ways in and out that the children of a group have."""
    found = (
        ("In", ways(evening, card.ways_in, group.seats)),
        ("Out", ways(evening, card.ways_out, group.seats)),
    )
    return [f"{word}: {names}." for word, names in found if names]


def _common_ways(evening, proposal):
    """Way lines that hold for every group: said once, above them."""
    lines = [_way_lines(evening, proposal.card, group) for group in proposal.groups]
    return [line for line in lines[0] if all(line in others for others in lines)] if lines else []


def _group_entry(evening, proposal, place, group: Seats, common):
    card = proposal.card
    roles = "; ".join(
        f"{role} {joined(child.name for child in held)}"
        if role != "partner"
        else joined(child.name for child in held)
        for role, held in group.seats.items()
    )
    label = f"Group {place}"
    if group.spotters and len(proposal.groups) > len(set(_all_spotters(proposal))):
        label += f", turn {group.turn}"
    lines = []
    if group.spotters and group.children:
        lines.append(_spot_line(group.spotters, spot_of(evening, card, group)))
    lines += [line for line in _way_lines(evening, card, group) if line not in common]
    if group.stops:
        lines.append(f"Stop: {'; '.join(group.stops)}")
    if group.asks:
        lines.append(f"Ask before the first go: {ask_words(group.asks)}")
    return Entry(roles or "nobody", label, tuple(lines))


def _spot_line(spotters, spot):
    """Who spots and how; where no spot is needed an adult is still there."""
    one, many = ("stands by", "stand by") if spot == "none" else ("spots", "spot")
    return f"{joined(spotters)} {one if len(spotters) == 1 else many}, {spot_words(spot)}"


def ask_words(asks: Sequence[Ask]) -> str:
    """All asks of a group as one line, asks of a kind together."""
    by_code: dict[str, list[str]] = {}
    for ask in asks:
        by_code.setdefault(ask.code, []).append(ask.about)
    return "; ".join(
        ASK_WORDS[code].format(joined(dict.fromkeys(about))) for code, about in by_code.items()
    )


def _all_spotters(proposal):
    return [name for group in proposal.groups for name in group.spotters]


def spot_of(evening: Evening, card: CardView, group: Seats) -> str:
    """The strictest advice of all who are spotted: flyers, else everybody in the group."""
    spotted = group.seats.get("flyer") or group.children
    pairs = [
        tuple(sorted((a.id, b.id))) for a in group.children for b in group.children if a.id < b.id
    ]
    new_pair = any(pair not in evening.past_pairs for pair in pairs)
    advised = {
        advice(evening, card, role, child, new_pair=new_pair)
        for role, held in group.seats.items()
        for child in held
        if child in spotted
    }
    return min(advised, key=SPOTS.index)
