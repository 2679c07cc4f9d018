"""Why a child is ready for a skill, or what is missing, in sentences."""

from accounts.scope import Scope
from classes import students, tries
from planning import gates, kept_groups
from planning.evening import Evening, local
from planning.group_lines import ask_words
from planning.least_change import proposed_again
from planning.proposals import open_roles
from planning.reasons import Standing, advice, missing, spot_words, why_ready
from planning.words import CAUTION, OUTCOME, SPOT, day, joined, lower_first, spoken

LAST_TRIES = 3


def explain(scope: Scope, evening: Evening, student: str, skill: str) -> str:
    """This will say where a child stands with a skill tonight.

    `student` and `skill` are names as one types them. Raises `UnknownStudent`, `Unknown`.
    """
    directory = students.directory(scope)
    student_id = directory.find(student)
    card = evening.edition.cards[evening.edition.find(skill)]
    child = next((child for child in evening.here if child.id == student_id), None)
    name = directory.names[student_id]
    if child is None:
        return f"{name} is not here tonight."
    lines = [f"{name} and {lower_first(card.name)} ({card.criterion})."]
    for role in open_roles(card):
        lines.append(_role_line(evening, Standing(card, role, child)))
    lines += [f"Nobody tonight: {stop.sentence}." for stop in gates.class_stops(evening, card)]
    lines.append(_logged(scope, evening, child, card))
    before = kept_groups.standing(scope, lesson_id=evening.lesson.id)
    lines.append(_tonight(evening, child, card, before.get(card.key, ())))
    lines.append(CAUTION)
    return "\n".join(line for line in lines if line)


def _role_line(evening, one):
    role = f"As {one.role}: " if one.role not in ("solo", "partner") else ""
    stops = gates.stops(evening, one.card, one.role, one.child)
    if stops:
        return _sentence(f"{role}not for now: {joined(stop.told for stop in stops)}")
    if gates.has_yes(evening, one.card, one.role, one.child):
        return _sentence(f"{role}a teacher has said yes to begin; {one.judged.word}")
    if not one.judged.ready:
        return _sentence(f"{role}not yet; what is missing: {missing(evening, one)}")
    text = f"{role}ready to go on: {why_ready(evening, one)}; {one.judged.word}."
    if one.card.spotted:
        spot = advice(evening, one.card, one.role, one.child, new_pair=False)
        text += f" Spot for the next try: {spot_words(spot)}."
    return _sentence(text)


def _sentence(text):
    """With a capital and one point at its end."""
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _logged(scope, evening, child, card):
    rows = [
        row
        for row in tries.counted(scope, student_ids=frozenset({child.id}), since=None)
        if row.skill_key == card.key
    ]
    if not rows:
        return "No try of this is logged."
    last = joined(
        f"{OUTCOME[row.outcome]} ({SPOT[row.spot]}, {day(local(row.at, evening.klass).date())})"
        for row in reversed(rows[-LAST_TRIES:])
    )
    return f"{spoken(len(rows), 'try', 'tries').capitalize()} logged; the last: {last}."


def _tonight(evening, child, card, before):
    """The child's place in tonight's groups for this skill, where it is done in groups."""
    if open_roles(card) == ("solo",) or card.skill.habit or child.not_today:
        return ""
    proposal = proposed_again(evening, card, before)
    for number, group in enumerate(proposal.groups, 1):
        for role, held in group.seats.items():
            if child in held:
                others = joined(c.name for c in group.children if c is not child)
                asks = tuple(ask for ask in group.asks if child.name in ask.names)
                text = f"Tonight: {role} in group {number}"
                text += f" with {others}." if others else "."
                return text + (f" Before the first go: {ask_words(asks)}." if asks else "")
    for left in proposal.still_to_place:
        if left.child.id == child.id:
            return _sentence(f"Tonight still to place: {lower_first(left.sentence)}")
    return ""
