from copy import deepcopy
from pathlib import Path

import pytest

from accounts.faults import BadDocument
from accounts.models import Event
from accounts.scope import NotAllowed, Unknown
from curriculum import editions
from curriculum.cards import views
from curriculum.models import Card, Edition, Skill, Succession
from tests import factories
from tests.curriculum.build import (
    DOCUMENT,
    SPRING,
    in_use,
    leaf,
    publish,
    read,
    renamed,
    staff,
    studio,
    with_skill,
)
from tests.factories import AT, every_row

EXAMPLE = Path(__file__).parents[2] / "docs" / "formats" / "examples" / "curriculum.yaml"
DEMO = Path(__file__).parents[2] / "demo" / "curriculum.yaml"


def faults(document):
    with pytest.raises(BadDocument) as refused:
        read(document)
    return [str(fault) for fault in refused.value.faults]


# -- reading ---------------------------------------------------------------------------------


def test_a_sound_curriculum():
    found = read(DOCUMENT)
    assert list(found.cards) == ["table", "lean", "seat"]
    assert found.cards == views(DOCUMENT["skills"])
    assert found.document == DOCUMENT


@pytest.mark.parametrize(("path", "skills"), [(EXAMPLE, 6), (DEMO, 79)])
def test_the_files_of_this_project_are_sound(path, skills):
    assert len(editions.read_curriculum(path.read_bytes()).cards) == skills


def test_warnings_are_no_faults():
    plain = {"name": "Kick", "family": "tight", "criterion": "x", "roles": {"solo": {}}}
    found = read(DOCUMENT | {"skills": DOCUMENT["skills"] | {"kick": plain}})
    assert [str(warning) for warning in found.warnings] == [
        "/skills/kick: “Kick” leads to no other skill"
    ]


def test_remarks_and_indentation_are_not_part_of_a_curriculum():
    content = EXAMPLE.read_bytes()
    again = b"# a remark\n" + content.replace(b"\n\n", b"\n\n\n# another\n")
    assert editions.read_curriculum(again).digest == editions.read_curriculum(content).digest


@pytest.mark.parametrize(
    ("document", "found"),
    [
        (
            with_skill("lean", roles={"partner": {"min": 2, "needs": leaf("seat", role="base")}}),
            [
                "/skills/lean/roles/partner: needs itself in the end: lean → seat → lean: “Lean”"
                " needs “Seat” (base), that needs “Lean”"
            ],
        ),
        (
            with_skill("table", roles={"solo": {"needs": leaf("tower")}}),
            ["/skills/table/roles/solo: needs “tower”, which is no skill of this curriculum"],
        ),
        (
            with_skill("table", roles={"solo": {"needs": leaf("seat")}}),
            ["/skills/table/roles/solo: needs the role solo of “seat”, which has no such role"],
        ),
        (
            with_skill("seat", spot=None, way_down=None, caution=None),
            [
                "/skills/seat: “Seat” is lifted, but has no spot",
                "/skills/seat: “Seat” is lifted, but has no way down",
                "/skills/seat: “Seat” is lifted, but has no caution",
            ],
        ),
        (
            with_skill("lean", roles={"partner": {"min": 3, "max": 2}}),
            ["/skills/lean/roles/partner: at least 3 but at most 2 of them"],
        ),
        (
            with_skill("lean", roles={"partner": {}}),
            ["/skills/lean: “Lean” is done together, so it should take at least two"],
        ),
        (
            with_skill("seat", roles={"flyer": {}}),
            ["/skills/seat: “Seat” can have a flyer without a base"],
        ),
        (with_skill("table", family="bends"), ["/skills/table/family: no family “bends”"]),
        (
            with_skill("lean", at_home="with somebody"),
            ["/skills/lean/at_home: only for what is done alone and on the floor"],
        ),
        (
            with_skill("lean", roles={"partner": {"min": 3}}, learning_size=2),
            ["/skills/lean/learning_size: below the 3 whom a group takes at least"],
        ),
        (
            with_skill("table", ways_in=[{"key": "a", "name": "A"}, {"key": "a", "name": "B"}]),
            ["/skills/table/ways_in/1/key: the key “a” is given twice"],
        ),
        (
            with_skill(
                "lean",
                ways_out=[
                    {"key": "a", "name": "A", "needs": {"base": leaf("table")}},
                    {
                        "key": "b",
                        "name": "B",
                        "needs": {
                            "partner": {
                                "any_of": [
                                    leaf("tower"),
                                    {"all_of": [leaf("table"), leaf("table", role="base")]},
                                    leaf("seat"),
                                ]
                            }
                        },
                    },
                ],
            ),
            [
                "/skills/lean/ways_out/0/needs/base: no such role on this card",
                "/skills/lean/ways_out/1/needs/partner/any_of/2: “seat” has no role partner",
                "/skills/lean/ways_out/1/needs/partner/any_of/1/all_of/1: “table” has no role base",
                "/skills/lean/ways_out/1/needs/partner/any_of/0: no skill “tower”",
            ],
        ),
        (
            DOCUMENT
            | {"succession": [{"from": "old", "to": "new"}, {"from": "seat", "to": "seat"}]},
            [
                "/succession/0/to: no skill “new” in this file",
                "/succession/1: a skill cannot carry on itself",
            ],
        ),
        (
            DOCUMENT
            | {"succession": [{"from": "old", "to": "seat"}, {"from": "old", "to": "seat"}]},
            ["/succession: has an item twice"],
        ),
    ],
)
def test_what_is_not_sound_is_named_with_its_place(document, found):
    assert faults(document) == found


def test_all_faults_of_a_file_at_once():
    document = with_skill("table", family="bends", roles={"solo": {"needs": leaf("tower")}})
    document = with_skill("seat", document, spot=None)
    document |= {"succession": [{"from": "table", "to": "none"}]}
    assert faults(document) == [
        "/skills/seat: “Seat” is lifted, but has no spot",
        "/skills/table/roles/solo: needs “tower”, which is no skill of this curriculum",
        "/skills/table/family: no family “bends”",
        "/succession/0/to: no skill “none” in this file",
    ]


# -- publishing ------------------------------------------------------------------------------


def test_the_first_edition(head):
    published = publish(head)
    assert published == editions.Published(
        number=1, is_new=True, added=("table", "lean", "seat"), changed=(), gone=()
    )
    edition = Edition.objects.get()
    assert (edition.name, edition.published_at, edition.published_by_id) == (
        "spring",
        AT,
        head.member_id,
    )
    rows = Card.objects.order_by("position")
    assert [(row.skill.key, row.name, row.lifted, row.tier) for row in rows] == [
        ("table", "Table", False, "floor"),
        ("lean", "Lean", False, "floor"),
        ("seat", "Seat", True, "floor"),
    ]
    assert [row.document for row in rows] == list(DOCUMENT["skills"].values())
    event = Event.objects.get(what="publish_edition")
    assert (event.about, event.details) == (edition.id, {"number": 1})


def test_the_same_again_changes_nothing(head):
    publish(head)
    before = every_row()
    assert publish(head) == editions.Published(
        number=1, is_new=False, added=(), changed=(), gone=()
    )
    assert every_row() == before


def test_the_next_edition_says_what_differs(head):
    publish(head)
    document = with_skill("table", criterion="40 s")
    document = with_skill("kneel", document, roles={"solo": {}})
    del document["skills"]["seat"]
    assert publish(head, document) == editions.Published(
        number=2, is_new=True, added=("kneel",), changed=("table",), gone=("seat",)
    )
    # What is no longer taught keeps its identity, and the first edition its cards.
    assert sorted(Skill.objects.values_list("key", flat=True)) == ["kneel", "lean", "seat", "table"]
    assert Card.objects.filter(edition__number=1).count() == 3
    assert Card.objects.get(edition__number=1, skill__key="table").document["criterion"] == "30 s"


def test_a_card_in_another_order_alone_is_not_changed(head):
    publish(head)
    document = deepcopy(DOCUMENT)
    document["skills"]["seat"]["roles"] = dict(
        reversed(document["skills"]["seat"]["roles"].items())
    )
    assert publish(head, document).changed == ()


def test_a_return_to_an_earlier_state_is_an_edition_of_its_own(head):
    publish(head)
    publish(head, with_skill("table", criterion="40 s"))
    assert publish(head).number == 3
    assert Skill.objects.count() == 3


def test_two_schools_with_the_same_keys(head):
    other = factories.scope(factories.MemberFactory(name="Marit O."))
    assert publish(head).number == 1
    document = with_skill("table", criterion="40 s")
    assert publish(other, document).number == 1
    assert Skill.objects.filter(key="table").count() == 2
    mine, theirs = (
        Card.objects.get(school_id=scope.school_id, skill__key="table") for scope in (head, other)
    )
    assert mine.skill_id != theirs.skill_id
    assert (mine.document["criterion"], theirs.document["criterion"]) == ("30 s", "40 s")


@pytest.mark.parametrize("role", ["teacher", "assistant"])
def test_only_a_head_teacher_publishes(head, role):
    scope = staff(head, role)
    before = every_row()
    with pytest.raises(NotAllowed) as refused:
        publish(scope)
    assert str(refused.value) == "publishing a curriculum: a head teacher's right"
    assert every_row() == before


# -- succession ------------------------------------------------------------------------------


def test_a_skill_is_carried_on_by_another(head):
    publish(head)
    assert publish(head, renamed()).number == 2
    row = Succession.objects.get()
    assert (row.from_skill.key, row.to_skill.key, row.edition.number) == ("table", "flat_table", 2)


@pytest.mark.parametrize(
    ("pairs", "found"),
    [
        ("", {"a": "", "b": ""}),
        ("ab", {"a": "b", "b": ""}),
        ("ab ac", {"a": "bc", "b": "", "c": ""}),
        ("ac bc", {"a": "c", "b": "c", "c": ""}),
        ("bc ab ad ce", {"a": "bcde", "b": "ce", "c": "e", "d": ""}),
        ("ab bc ca", {"a": "bc", "b": "ac", "c": "ab"}),
        ("ab bc cb", {"a": "bc", "b": "c", "c": "b"}),
    ],
    ids=["none", "rename", "split", "merge", "again", "circle", "into a circle"],
)
def test_the_heirs_of_a_skill(pairs, found):
    succession = frozenset((one, other) for one, other in pairs.split())
    assert {key: editions.heirs(succession, key) for key in found} == {
        key: frozenset(heirs) for key, heirs in found.items()
    }


def test_an_edition_in_use_knows_the_heirs_of_a_skill(head):
    publish(head)
    publish(head, renamed())
    editions.adopt(head, studio_id=studio(head), number=2, from_date=SPRING, at=AT)
    edition = in_use(head)
    assert edition.heirs("table") == {"flat_table"}
    assert edition.heirs("flat_table") == edition.heirs("never_was") == frozenset()


def test_what_never_was_carries_nothing_on(head):
    publish(head)
    before = every_row()
    document = renamed() | {
        "succession": [{"from": "kneel", "to": "lean"}, {"from": "old", "to": "flat_table"}]
    }
    with pytest.raises(BadDocument) as refused:
        publish(head, document)
    assert [str(fault) for fault in refused.value.faults] == [
        "/succession/0/from: no edition ever had a skill “kneel”",
        "/succession/1/from: no edition ever had a skill “old”",
    ]
    assert every_row() == before


def test_another_school_s_skill_carries_nothing_on(head):
    publish(factories.scope(factories.MemberFactory()))
    with pytest.raises(BadDocument, match="/succession/0/from: no edition ever had"):
        publish(head, renamed())


# -- reading what is published ---------------------------------------------------------------


def test_the_whole_of_an_edition(head):
    publish(head)
    publish(head, renamed() | {"note": "one name changed"})
    ids = dict(Skill.objects.values_list("key", "id"))
    assert editions.document(head, number=2) == {
        "number": 2,
        "name": "spring",
        "note": "one name changed",
        "published_at": AT,
        "families": [
            {"key": "tight", "name": "Holding tight"},
            {"key": "lift", "name": "Low lifts"},
        ],
        "cards": [
            {"skill": key, "skill_id": ids[key], "document": renamed()["skills"][key]}
            for key in ("lean", "seat", "flat_table")
        ],
        "successions": [{"from_key": "table", "to_key": "flat_table"}],
    }
    assert editions.document(head, number=1)["successions"] == []


def test_one_card_of_an_edition(head):
    publish(head)
    publish(head, with_skill("table", criterion="40 s"))
    found = [editions.card(head, number=number, skill="table") for number in (1, 2)]
    assert found[0]["skill_id"] == found[1]["skill_id"] == Skill.objects.get(key="table").id
    assert [one["document"]["criterion"] for one in found] == ["30 s", "40 s"]


def test_what_is_not_published_cannot_be_read(head):
    publish(head)
    publish(head, renamed())
    other = factories.scope(factories.MemberFactory())
    for scope, number, key in ((head, 3, "lean"), (head, 0, "lean"), (other, 1, "table")):
        with pytest.raises(Unknown, match="no such edition"):
            editions.document(scope, number=number)
        with pytest.raises(Unknown, match="no such card"):
            editions.card(scope, number=number, skill=key)
    with pytest.raises(Unknown, match="no such card"):
        editions.card(head, number=2, skill="table")
