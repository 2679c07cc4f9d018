"""What is said across an evening and passes by itself: loads and roles in a row, when lifts end."""

from collections.abc import Sequence

from classes import lessons
from curriculum.cards import CardView
from engine.readiness.advice import only_cleans
from planning.evening import Child, Evening, local
from planning.proposals import Seats
from planning.words import number

LAST_LIFT_BEFORE_END = 10  # minutes
LESSONS_IN_A_ROW = 3
MOST_IN_A_ROW = 3  # stations


def says(
    evening: Evening, stations: Sequence[tuple[CardView, Sequence[Seats]]]
) -> tuple[tuple[str, str], ...]:
    """Lines across the evening, each with whom it is about: loads in a row, roles in a row, when
    lifts end. `stations` are the skills with their groups, in the order of the evening."""
    found = []
    for child in evening.playing:
        seats = [_seat_in(card, groups, child) for card, groups in stations]
        if _in_a_row(seats, MOST_IN_A_ROW, lambda card, role: "wrists" in card.loads[role]):
            found.append((child.name, "the wrists work three times in a row"))
        if _in_a_row(seats, 2, lambda card, role: "back_bend" in card.loads[role]):
            found.append((child.name, "two back bends in a row"))
        if _in_a_row(seats, MOST_IN_A_ROW, lambda card, role: role == "base"):
            found.append((child.name, "base three times in a row"))
        elif any(seat and seat[1] == "base" for seat in seats) and always_base(evening, child):
            found.append((child.name, f"base in the last {number(LESSONS_IN_A_ROW)} lessons"))
    if any(card.lifted and groups for card, groups in stations):
        found.append(("Lifts", last_lift(evening)))
    return tuple(found)


def last_lift(evening: Evening) -> str:
    """When the last lift goes up, in the studio's own time."""
    starts = local(evening.lesson.starts_at, evening.klass)
    last = starts.hour * 60 + starts.minute + evening.minutes - LAST_LIFT_BEFORE_END
    return f"the last lift goes up by {last // 60 % 24:02d}:{last % 60:02d}"


def _seat_in(card, groups, child):
    """The card and the child's role in its groups, None without a place."""
    for group in groups:
        for role, held in group.seats.items():
            if child in held:
                return card, role
    return None


def _in_a_row(stations, times, holds):
    """Whether something holds for so many stations one after the other."""
    runs = [seat is not None and holds(*seat) for seat in stations]
    return any(all(runs[i : i + times]) for i in range(len(runs) - times + 1))


def always_base(evening: Evening, child: Child) -> bool:
    """Whether the last lessons in which she was base or flyer all had her as base alone."""
    roles: dict = {}
    for one in evening.tries:
        if one.student_id == child.id and one.role in ("base", "flyer"):
            roles.setdefault(one.local_date, set()).add(one.role)
    last = [roles[on] for on in sorted(roles)[-LESSONS_IN_A_ROW:]]
    return len(last) == LESSONS_IN_A_ROW and all(held == {"base"} for held in last)


def private_note(evening: Evening) -> str | None:
    """What the teacher alone is told, never the sheet: a log of nothing but cleans flatters."""
    own = [
        (one.local_date, one.outcome)
        for one in evening.tries
        if one.lesson_id == lessons.lesson_id(evening.klass.id, one.local_date)
        and one.skill_key in evening.edition.cards
        and not evening.edition.cards[one.skill_key].skill.habit
    ]
    if not only_cleans(own, evening.lesson.on):
        return None
    return (
        "For you alone: for three weeks nothing but clean tries was logged here. What is judged"
        " from such a log comes out too good; log the shaky ones too."
    )
