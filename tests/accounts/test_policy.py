from dataclasses import asdict

import pytest

from accounts import policy
from accounts.faults import BadDocument
from accounts.models import Event, School
from accounts.scope import Conflict, NotAllowed
from tests.factories import AT, MemberFactory, StudioFactory, every_row, scope

pytestmark = pytest.mark.django_db


@pytest.fixture
def head(db):
    return scope(MemberFactory())


def change(by, **said):
    return policy.change(by, said=said, at=AT)


def test_each_change_is_an_event(head):
    StudioFactory(school=School.objects.get(id=head.school_id))
    assert change(head, bar=0.85, adults_in_room=2, agreements_kept_elsewhere=True) == (
        "bar",
        "agreements_kept_elsewhere",
    )
    rules = policy.policy(head)
    assert (rules.bar, rules.adults_in_room, rules.agreements_kept_elsewhere) == (0.85, 2, True)
    events = Event.objects.order_by("id")
    assert [(event.what, event.member_id, event.about, event.details) for event in events] == [
        (
            "change_policy",
            head.member_id,
            None,
            {"column": column, "was": was, "becomes": becomes},
        )
        for column, was, becomes in (("bar", 0.8, 0.85), ("agreements_kept_elsewhere", False, True))
    ]


def test_what_stands_already_is_no_change(head):
    before = every_row()
    assert change(head, **asdict(policy.policy(head))) == ()
    assert change(head) == ()
    assert every_row() == before


def test_only_of_ones_own_school_and_only_a_head_teacher(head):
    other = scope(MemberFactory())
    change(other, bar=0.9)
    assert policy.policy(head).bar == 0.8
    school = School.objects.get(id=head.school_id)
    for role in ("teacher", "assistant"):
        with pytest.raises(NotAllowed, match="changing the policy: a head teacher's right"):
            change(scope(MemberFactory(school=school, role=role)), bar=0.9)


def test_masses_are_switched_on_by_whoever_has_read_what_it_means(head):
    before = every_row()
    with pytest.raises(Conflict) as caught:
        change(head, uses_mass=True, bar=0.9)
    assert str(caught.value).startswith("Nobody needs to be weighed to learn partner balances")
    assert str(caught.value).endswith("sends it again with “confirmed”: true.")
    assert every_row() == before
    assert policy.change(head, said={"uses_mass": True}, confirmed=True, at=AT) == ("uses_mass",)
    # It is on: nothing is switched on now, and off it goes without a question.
    assert change(head, uses_mass=True) == ()
    assert change(head, uses_mass=False) == ("uses_mass",)


def test_a_dry_run_only_says(head):
    before = every_row()
    assert policy.change(head, said={"bar": 0.9}, at=AT, dry_run=True) == ("bar",)
    assert every_row() == before


def test_everything_out_of_bounds_at_once(head):
    before = every_row()
    with pytest.raises(BadDocument) as caught:
        change(head, bar=1.0, mass_from_age=10, adults_in_room=0, height_days=366)
    assert str(caught.value).splitlines() == [
        "/bar: should be between 0.5 and 0.99",
        "/adults_in_room: should be between 1 and 20",
        "/mass_from_age: should be between 11 and 99",
    ]
    assert every_row() == before


def test_each_bound_is_still_welcome(head):
    for place in (0, 1):
        said = {column: bounds[place] for column, bounds in policy.BOUNDS.items()}
        change(head, **said)
        rules = asdict(policy.policy(head))
        assert {column: rules[column] for column in said} == said


def test_every_number_of_the_policy_has_bounds():
    flags = {"uses_mass", "agreements_kept_elsewhere"}
    assert policy.BOUNDS.keys() | flags == set(policy.COLUMNS)
