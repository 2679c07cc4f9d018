"""Asks answered for one evening: what becomes of them, and what is never passed."""

from datetime import UTC, date, datetime, timedelta

import pytest

from accounts.faults import BadDocument
from accounts.models import Event, Member
from accounts.scope import Conflict, NotAllowed, Unknown
from classes.models import Lesson, LessonSpotter, PairCheck, Restriction, Yes
from planning import answers, groups
from planning.answers import REASONS
from planning.by_hand import Formed
from tests.factories import AT
from tests.once import once
from tests.planning import school
from tests.planning.build import KNOWS_STOP, LIFTED, ON, PROPS, STARTS, Pupil, pupils
from tests.planning.read_aloud import assert_fit_to_read_aloud

OLD = ON - timedelta(days=121)


def build():
    made = school.build(
        *pupils("Amara", "Bao", "Demba", **LIFTED),
        Pupil("Hana", **LIFTED | {"height_on": OLD}),
        Pupil("Mireille", PROPS),
        Pupil("Tariq", KNOWS_STOP),
    )
    LessonSpotter.objects.create(
        school_id=made.id, lesson=made.lesson(), member=Member.objects.get(name="Aroha T.")
    )
    return made


built, rows = once(build)


def answer(rows, code, *names, skill="seat", role=None, scope=None, reason="seen", at=STARTS):
    return answers.answer(
        scope or rows.teacher,
        lesson_id=rows.lesson().id,
        skill=skill,
        code=code,
        students=[rows.children[name] for name in names],
        role=role,
        reason=reason,
        at=at,
    )


def asked(rows, key="seat", **seats):
    """The codes still asked of one group, formed by hand."""
    group = Formed(
        {
            role: tuple(rows.children[name] for name in names.split())
            for role, names in seats.items()
        }
    )
    found = groups.check(rows.teacher, lesson_id=rows.lesson().id, skill=key, groups=[group], at=AT)
    return [ask.code for ask in found.groups[0].asks]


def events():
    return [
        (one.about, one.details) for one in Event.objects.filter(what="answer_ask").order_by("id")
    ]


def test_a_yes_to_begin_holds_for_that_evening_alone(rows):
    assert asked(rows, base="Amara", flyer="Bao") == ["yes", "yes", "pair"]
    found = answer(rows, "yes", "Amara", role="base", reason="close_spot")
    assert (found.reason, found.sentence) == ("close_spot", "an adult stays close")
    assert asked(rows, base="Amara", flyer="Bao") == ["yes", "pair"]
    assert asked(rows, base="Bao", flyer="Amara") == ["yes", "yes", "pair"]
    yes = Yes.objects.get()
    assert (yes.lesson_id, yes.given_on, yes.kind, yes.role) == (
        rows.lesson().id,
        ON,
        "begin",
        "base",
    )
    assert yes.member_id == rows.teacher.member_id


def test_a_pair_holds_for_that_evening_alone(rows):
    answer(rows, "pair", "Amara", "Bao")
    assert asked(rows, base="Amara", flyer="Bao") == ["yes", "yes"]
    assert asked(rows, base="Bao", flyer="Amara") == ["yes", "yes", "pair"]
    check = PairCheck.objects.get()
    assert (check.base_id, check.flyer_id) == (rows.children["Amara"], rows.children["Bao"])
    assert (check.lesson_id, check.given_on) == (rows.lesson().id, ON)


def test_what_is_no_yes_and_no_pair_is_an_event(rows):
    Lesson.objects.filter(id=rows.lesson().id).update(surface="grass")
    seats = {"base": "Hana", "flyer": "Bao"}
    assert asked(rows, **seats) == ["yes", "yes", "pair", "height", "floor", "floor"]
    answer(rows, "height", "Hana", reason="looked_at")
    assert asked(rows, **seats) == ["yes", "yes", "pair", "floor", "floor"]
    answer(rows, "floor", "Hana")
    assert asked(rows, **seats) == ["yes", "yes", "pair", "floor"]
    answer(rows, "floor", "Bao")
    assert asked(rows, **seats) == ["yes", "yes", "pair"]
    lesson, hana = rows.lesson().id, str(rows.children["Hana"])
    same = {"skill": "seat", "role": None, "students": [hana]}
    assert events()[:2] == [
        (lesson, same | {"code": "height", "reason": "looked_at"}),
        (lesson, same | {"code": "floor", "reason": "seen"}),
    ]
    assert not Yes.objects.exists()
    assert not PairCheck.objects.exists()


def test_a_long_line_is_passed_for_just_these_children(rows):
    line = {"key": "line", "front": "Amara", "middle": "Bao Demba", "back": "Hana"}
    assert asked(rows, **line) == ["line"]
    answer(rows, "line", "Hana", "Amara", "Demba", "Bao", skill="line")
    assert asked(rows, **line) == []
    assert asked(rows, **line | {"front": "Hana", "back": "Amara"}) == []
    assert asked(rows, **line | {"back": "Mireille"}) == ["line"]


def test_who_is_not_ready_may_begin_tonight(rows):
    seats = {"key": "chest_rest", "base": "Tariq", "flyer": "Amara"}
    assert asked(rows, **seats) == ["not_ready"]
    answer(rows, "not_ready", "Tariq", skill="chest_rest", role="base", reason="in_parts")
    assert asked(rows, **seats) == []


def test_the_same_answer_again_stands_already(rows):
    for _ in range(2):
        answer(rows, "yes", "Amara", role="base")
        answer(rows, "pair", "Amara", "Bao")
        answer(rows, "height", "Hana")
    assert (Yes.objects.count(), PairCheck.objects.count(), len(events())) == (1, 1, 3)


def test_an_answer_is_for_its_own_evening_and_skill(rows):
    answer(rows, "height", "Hana")
    next_week = rows.lesson(ON + timedelta(days=7))
    LessonSpotter.objects.create(
        school_id=rows.id, lesson=next_week, member=Member.objects.get(name="Aroha T.")
    )
    group = Formed({"base": (rows.children["Hana"],), "flyer": (rows.children["Bao"],)})
    found = groups.check(rows.teacher, lesson_id=next_week.id, skill="seat", groups=[group], at=AT)
    assert [ask.code for ask in found.groups[0].asks] == ["yes", "yes", "pair", "height"]


# -- what is refused -------------------------------------------------------------------------


def test_an_assistant_answers_nothing(rows):
    with pytest.raises(NotAllowed) as refused:
        answer(rows, "height", "Hana", scope=rows.assistant)
    assert str(refused.value) == "answering an ask: a teacher's right, not an assistant's"
    assert events() == []


@pytest.mark.parametrize(
    ("code", "names", "role"),
    [
        ("yes", ("Amara",), "base"),
        ("pair", ("Amara", "Bao"), None),
        ("height", ("Amara",), None),
    ],
)
def test_a_stop_is_never_passed(rows, code, names, role):
    blocks = "base" if code != "height" else "wrists"
    Restriction.objects.create(
        school_id=rows.id,
        student_id=rows.children["Amara"],
        blocks=blocks,
        from_date=ON,
        until=ON + timedelta(days=54),
    )
    if code == "height":  # the wrists are not all that a flyer needs: nothing stops her there
        answer(rows, code, *names, role=role)
        return
    with pytest.raises(Conflict) as refused:
        answer(rows, code, *names, role=role)
    assert str(refused.value) == "Amara: not as base until 3 May"
    assert (Yes.objects.count(), PairCheck.objects.count(), len(events())) == (0, 0, 0)


def test_what_stops_a_child_in_every_role_stops_any_answer(rows):
    rows.attended("Hana", "not_today")
    with pytest.raises(Conflict) as refused:
        answer(rows, "height", "Hana")
    assert str(refused.value) == "Hana: not today"


@pytest.mark.parametrize(
    ("code", "names", "asked_", "faults"),
    [
        ("yes", ("Amara",), {}, ["/role: Seat on a table has the roles base, flyer"]),
        ("yes", ("Amara", "Bao"), {"role": "base"}, ["/students: one child"]),
        ("pair", ("Amara",), {}, ["/students: two children: base, then flyer"]),
        ("pair", ("Amara", "Amara"), {}, ["/students: two children: base, then flyer"]),
        ("pair", ("Amara", "Bao"), {"role": "base"}, ["/role: this is not asked about one role"]),
        ("pair", ("Amara", "Bao"), {"skill": "line"}, ["/code: Plank line has no base and flyer"]),
        ("line", ("Amara",), {"skill": "line"}, ["/students: everybody of the line"]),
        ("yes", ("Amara",), {"skill": "salute", "role": "base"}, ["/skill: unknown"]),
    ],
)
def test_what_is_wrong_with_an_answer(rows, code, names, asked_, faults):
    with pytest.raises(BadDocument) as refused:
        answer(rows, code, *names, **asked_)
    assert str(refused.value).splitlines() == faults
    assert events() == []


def test_children_who_are_away_or_of_another_school_are_unknown_alike(rows):
    other = school.build(*pupils("Aurelio"), name="Another school")
    rows.children["Aurelio"] = other.children["Aurelio"]
    rows.attended("Amara", "away")
    for name in ("Amara", "Aurelio"):
        with pytest.raises(BadDocument) as refused:
            answer(rows, "height", name)
        assert str(refused.value) == "/students/0: unknown"
    with pytest.raises(Unknown):
        answer(rows, "height", "Hana", scope=other.teacher)


def test_asks_are_answered_near_the_evening(rows):
    early = rows.lesson().starts_at - timedelta(days=28)
    with pytest.raises(Conflict) as refused:
        answer(rows, "height", "Hana", at=early - timedelta(seconds=1))
    assert str(refused.value) == "asks are answered within four weeks of the evening"
    answer(rows, "height", "Hana", at=early)
    assert asked(rows, base="Hana", flyer="Bao") == ["yes", "yes", "pair"]
    assert rows.lesson().on == date(2026, 3, 10)


def test_asks_are_answered_until_the_day_is_over(rows):
    """A yes is never dated back; in Lisbon the day ends at midnight UTC until the end of March."""
    midnight = datetime(2026, 3, 11, tzinfo=UTC)
    answer(rows, "height", "Hana", at=midnight - timedelta(seconds=1))
    for code, names, role in (("height", ("Amara",), None), ("yes", ("Amara",), "base")):
        with pytest.raises(Conflict) as refused:
            answer(rows, code, *names, role=role, at=midnight)
        assert str(refused.value) == (
            "the evening is over: what was asked before it is asked no more"
        )
    assert (Yes.objects.count(), len(events())) == (0, 1)


def test_a_lesson_past_midnight_is_over_when_it_ends(rows):
    late = datetime(2026, 3, 10, 23, 40, tzinfo=UTC)
    Lesson.objects.filter(id=rows.lesson().id).update(starts_at=late)
    ends = late + timedelta(minutes=45)
    answer(rows, "height", "Hana", at=ends)
    with pytest.raises(Conflict):
        answer(rows, "height", "Amara", at=ends + timedelta(seconds=1))


def test_reasons_may_be_read_aloud():
    assert_fit_to_read_aloud("\n".join(REASONS.values()))
