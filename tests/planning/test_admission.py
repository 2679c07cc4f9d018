"""What an assistant may keep of groups, and that nothing she is told tells of a wish."""

import json
from dataclasses import asdict

import pytest

from accounts.scope import NotAllowed
from classes.models import LessonSpotter, Wish
from planning import groups
from planning.lesson_sheet import lesson_sheet, table
from planning.models import Grouping
from planning.ways_up import ways_up
from tests.once import once
from tests.planning import school
from tests.planning.build import LIFTED, ON, PROPS, SIX, Pupil, clean, pupils
from tests.planning.hands import asked, change, formed, held, put

PAIRS = ("Amara Bao", "Demba Hana", "Mireille Tariq")


def build():
    lean = clean("lean", role="partner")
    made = school.build(*pupils(*SIX, **LIFTED | {"tries": (*PROPS, *lean)}))
    LessonSpotter.objects.create(
        school_id=made.id, lesson=made.lesson(), member_id=made.assistant.member_id
    )
    return made


built, rows = once(build)


def test_an_assistant_regroups_where_nothing_lifts_or_asks(rows):
    kept = put(rows, *PAIRS, scope=rows.assistant)
    assert kept.version == 1
    assert change("swap", rows, 1, scope=rows.assistant, a="Amara", b="Hana").version == 2
    assert change("regroup", rows, 2, scope=rows.assistant).version == 3


REFUSED = "groups that lift or ask: a teacher's right, not an assistant's"


def test_an_assistant_keeps_no_lift_and_no_ask(rows):
    with pytest.raises(NotAllowed) as refused:
        put(rows, "Amara Bao", key="seat", roles=("base", "flyer"), scope=rows.assistant)
    assert str(refused.value) == REFUSED
    rows.add(Pupil("Nguyệt"))
    with pytest.raises(NotAllowed) as refused:
        put(rows, "Amara Nguyệt", scope=rows.assistant)
    assert str(refused.value) == REFUSED
    assert not Grouping.objects.exists()


def test_an_assistant_locks_nothing_and_takes_nothing_back(rows):
    first = put(rows, *PAIRS).groups[0].id
    for name, said in (("lock", {"group": first, "locked": True}), ("clear", {})):
        with pytest.raises(NotAllowed):
            change(name, rows, 1, scope=rows.assistant, **said)


def test_a_wish_is_for_a_teacher_alone(rows):
    a, b = sorted((rows.children["Amara"], rows.children["Bao"]))
    Wish.objects.create(school_id=rows.id, a_id=a, b_id=b, kind="apart", from_date=ON, until=ON)
    pair = formed(rows, "Amara Bao")
    told = groups.check(rows.teacher, groups=pair, **asked(rows)).groups[0]
    assert [say.sentence for say in told.says] == ["Amara and Bao: look at the wishes first"]
    told = groups.check(rows.assistant, groups=pair, **asked(rows)).groups[0]
    assert (told.says, told.stops) == ((), ())
    assert [(ask.code, ask.sentence, ask.role) for ask in told.asks] == [LOOK]
    with pytest.raises(NotAllowed) as refused:
        put(rows, "Amara Bao", scope=rows.assistant)
    assert str(refused.value) == REFUSED
    assert put(rows, "Amara Bao").version == 1


LOOK = ("look", "a teacher looks at this group first", None)


def test_an_assistant_reads_in_a_check_what_she_may_keep(rows):
    """A wish is told from neither a lift nor an ask by what refuses her."""
    for kind, names in (("apart", ("Amara", "Bao")), ("together", ("Demba", "Hana"))):
        a, b = sorted(rows.children[name] for name in names)
        Wish.objects.create(school_id=rows.id, a_id=a, b_id=b, kind=kind, from_date=ON, until=ON)
    rows.add(Pupil("Nguyệt"))
    rows.say_yes("Tariq", "seat", "base")
    rows.say_yes("Amara", "seat", "flyer")
    rows.pair("Tariq", "Amara")
    lift = {"key": "seat", "roles": ("base", "flyer")}
    for said, like in (
        ("Amara Bao", {}),
        ("Demba Tariq", {}),
        ("Amara Nguyệt", {}),
        ("Tariq Amara", lift),
        ("Amara Tariq", {}),
    ):
        pair = formed(rows, said, roles=like.get("roles", ("partner",)))
        asks = asked(rows, like.get("key", "lean"))
        group = groups.check(rows.assistant, groups=pair, **asks).groups[0]
        if said == "Amara Tariq":
            assert group.asks == ()
            assert put(rows, said, scope=rows.assistant).version == 1
            continue
        last = group.asks[-1]
        assert (last.code, last.sentence, last.role) == LOOK
        assert last.students == tuple(sorted(pair[0].students))
        with pytest.raises(NotAllowed) as refused:
            put(rows, said, scope=rows.assistant, **like)
        assert str(refused.value) == REFUSED
        told = groups.check(rows.teacher, groups=pair, **asks).groups[0]
        assert "look" not in [ask.code for ask in told.asks]


def test_a_group_that_a_teacher_kept_against_a_wish_tells_nothing_and_bars_no_other(rows):
    a, b = sorted((rows.children["Amara"], rows.children["Bao"]))
    Wish.objects.create(school_id=rows.id, a_id=a, b_id=b, kind="apart", from_date=ON, until=ON)
    put(rows, *PAIRS)
    kept = groups.of_skill(rows.assistant, **asked(rows))
    assert [group.asks for group in kept.groups] == [(), (), ()]
    after = change("swap", rows, 1, scope=rows.assistant, a="Demba", b="Tariq")
    assert held(after) == ["Amara Bao", "Hana Tariq", "Demba Mireille"]
    assert [group.asks for group in after.groups] == [(), (), ()]


def tables(rows, scope):
    """The tables of every skill, and the ways up of one of whom there is a wish and one of none."""
    lesson = {"lesson_id": rows.lesson().id, "today": ON}
    found = [table(scope, skill=key, **lesson) for key in ("lean", "chest_rest", "seat", "line")]
    on_the_sheet = lesson_sheet(scope, **lesson).pair_tables
    ways = [ways_up(scope, student_id=rows.children[name], **lesson) for name in ("Amara", "Tariq")]
    return [
        json.dumps(asdict(one), default=str)
        for one in (*found, *sorted(on_the_sheet, key=lambda one: one.skill), *ways)
    ]


def test_no_byte_is_another_for_an_assistant(rows):
    before = {scope: tables(rows, scope) for scope in (rows.assistant, rows.teacher, rows.head)}
    a, b = sorted((rows.children["Amara"], rows.children["Bao"]))
    for kind in ("apart", "together"):
        Wish.objects.all().delete()
        Wish.objects.create(school_id=rows.id, a_id=a, b_id=b, kind=kind, from_date=ON, until=ON)
        assert tables(rows, rows.assistant) == before[rows.assistant]
        for scope in (rows.teacher, rows.head):
            assert tables(rows, scope) != before[scope]
