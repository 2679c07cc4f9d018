"""Two at the same groups, the same id of a group, or the same ask, at the same moment."""

from dataclasses import replace
from uuid import uuid4

import pytest
from django.db import connection

from accounts.faults import BadDocument
from accounts.models import Event
from accounts.scope import Stale
from classes.models import LessonSpotter, PairCheck, Yes
from planning import answers, group_batches, group_changes
from planning.by_hand import Formed
from planning.group_batches import GroupsRow
from planning.group_views import GroupsView
from planning.models import Group, Grouping, Seat
from tests.at_once import at_once
from tests.factories import AT
from tests.planning import school
from tests.planning.build import LIFTED, ON, SIX, STARTS, pupils
from tests.planning.hands import formed, put

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time"),
]


@pytest.fixture
def rows():
    made = school.build(*pupils(*SIX, **LIFTED))
    LessonSpotter.objects.create(
        school_id=made.id, lesson=made.lesson(), member_id=made.assistant.member_id
    )
    return made


def kinds(found):
    return sorted(type(one).__name__ for one in found)


def test_of_four_who_keep_the_first_groups_one_does(rows):
    pairs = ("Amara Bao", "Amara Demba", "Amara Hana", "Amara Tariq")
    found = at_once(*[lambda pair=pair: put(rows, pair) for pair in pairs])
    assert kinds(found) == [GroupsView.__name__, *[Stale.__name__] * 3]
    assert Grouping.objects.get().version == 1
    assert (Group.objects.count(), Seat.objects.count()) == (1, 2)
    assert Event.objects.filter(what="change_groups").count() == 1


def test_one_id_of_a_group_is_taken_once(rows):
    one, other = uuid4(), uuid4()

    def keep(key, ids):
        roles = ("partner",) if key == "lean" else ("base", "flyer")
        pairs = formed(rows, "Amara Bao", "Demba Hana", roles=roles)
        groups = [replace(pair, id=id_) for pair, id_ in zip(pairs, ids, strict=True)]
        return group_changes.put(
            rows.teacher,
            lesson_id=rows.lesson().id,
            skill=key,
            version=0,
            groups=groups,
            at=AT,
        )

    found = at_once(
        lambda: keep("lean", (one, other)),
        lambda: keep("chest_rest", (other, one)),
        lambda: keep("seat", (one, other)),
    )
    assert kinds(found) == [BadDocument.__name__] * 2 + [GroupsView.__name__]
    for error in found:
        if isinstance(error, BadDocument):
            assert str(error) == "/groups/0/id: unknown\n/groups/1/id: unknown"
    assert set(Group.objects.values_list("id", flat=True)) == {one, other}
    assert Grouping.objects.count() == 1


def test_a_row_sent_five_times_at_once_is_stored_once(rows):
    row = GroupsRow(
        id=uuid4(),
        class_id=rows.klass.id,
        on=ON,
        skill_id=rows.skill("lean"),
        groups=(Formed({"partner": (rows.children["Amara"], rows.children["Bao"])}, uuid4()),),
    )
    found = at_once(*[lambda: group_batches.store(rows.teacher, rows=[row], at=AT)[0]] * 5)
    assert sorted(answer.status for answer in found) == ["already_stored"] * 4 + ["stored"]
    assert {(answer.code, answer.version) for answer in found} == {(None, 1)}
    assert (Group.objects.count(), Event.objects.filter(what="change_groups").count()) == (1, 1)


@pytest.mark.parametrize(
    ("code", "names", "role"),
    [("yes", ("Amara",), "base"), ("pair", ("Amara", "Bao"), None), ("back", ("Amara",), None)],
)
def test_an_ask_that_two_answer_is_answered_once(rows, code, names, role):
    def answer(scope):
        return answers.answer(
            scope,
            lesson_id=rows.lesson().id,
            skill="seat",
            code=code,
            students=[rows.children[name] for name in names],
            role=role,
            reason="seen",
            at=STARTS,
        )

    calls = [lambda scope=scope: answer(scope) for scope in (rows.teacher, rows.head) * 2]
    assert len(set(at_once(*calls))) == 1
    assert Event.objects.filter(what="answer_ask").count() == 1
    assert Yes.objects.count() + PairCheck.objects.count() == (code != "back")
