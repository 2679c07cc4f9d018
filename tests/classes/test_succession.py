"""Tries of a skill that was renamed, split or merged count for what carries it on."""

from uuid import uuid4

from classes import replay
from curriculum.models import Skill
from tests.classes import fact_school
from tests.classes.test_replay import beliefs, log, row, worked_out
from tests.once import once


def build():
    school = fact_school.build()
    for key in ("table_hips", "table_hands"):
        school.skills[key] = Skill.objects.create(school_id=school.id, key=key).id
    return school


built, school = once(build)


def under(school, *succession, name="Amara"):
    ids = {school.children[name]}
    found = replay.beliefs(school.teacher, student_ids=ids, succession=succession)
    return found[school.children[name]]


def test_a_split_hands_its_tries_to_both(school):
    log(school, row(school), row(school, outcome="shaky"))
    found = under(school, ("table", "table_hips"), ("table", "table_hands"))
    assert found["table_hips", "solo"] == found["table", "solo"] == found["table_hands", "solo"]
    assert found["table_hips", "solo"].counted == 2


def test_own_tries_and_those_of_before_are_one_log(school):
    before, after = row(school), row(school, skill="table_hips", outcome="shaky")
    log(school, before, after)
    found = under(school, ("table", "table_hips"))
    assert found["table_hips", "solo"] == worked_out(before, after)["solo"]
    assert found["table", "solo"] == beliefs(school)["table", "solo"]


def test_what_carried_on_is_carried_on_again_and_a_circle_ends(school):
    log(school, row(school))
    found = under(
        school,
        ("table", "table_hips"),
        ("table_hips", "table_hands"),
        ("table_hands", "table"),
    )
    assert found["table_hands", "solo"].counted == 1
    assert found["table", "solo"].counted == 1


def test_a_merge_hears_the_tries_of_both(school):
    one, other = row(school), row(school, skill="table_hips", outcome="shaky")
    log(school, one, other)
    found = under(school, ("table", "table_hands"), ("table_hips", "table_hands"))
    assert found["table_hands", "solo"] == worked_out(one, other)["solo"]
    assert (found["table", "solo"].counted, found["table_hips", "solo"].counted) == (1, 1)


def test_nothing_flows_back_and_nothing_to_another_child(school):
    log(school, row(school, skill="table_hips"))
    assert ("table", "solo") not in under(school, ("table", "table_hips"))
    assert under(school, ("table", "table_hips"), name="Bao") == {}


def test_no_belief_of_an_edition_is_kept(school):
    log(school, row(school, attempt=uuid4()))
    under(school, ("table", "table_hips"))
    replay.refresh(school.teacher)
    assert list(beliefs(school)) == [("table", "solo")]
