import json

import pytest
from jsonschema import Draft202012Validator

from accounts.faults import BadDocument, Fault
from curriculum import documents
from curriculum.cards import LOADS, ROLES, TIERS, UNITS
from curriculum.checks import SCHEMA
from curriculum.documents import MAX_BYTES, read_yaml, schema_faults


def test_reads_values_as_they_look():
    document = read_yaml(
        b"a: no\nb: 012\nc: 12:30\nd: 2026-05-03\ne: true\nf: ~\ng: -3\nh: 0.5\ni: 1e3\nj: yes\n"
    )
    assert document == {
        "a": "no",
        "b": "012",
        "c": "12:30",
        "d": "2026-05-03",
        "e": True,
        "f": None,
        "g": -3,
        "h": 0.5,
        "i": "1e3",
        "j": "yes",
    }


def test_reads_a_byte_order_mark_and_nested_lists():
    assert read_yaml("\ufeffa: [1, [2, {b: ü}]]".encode()) == {"a": [1, [2, {"b": "ü"}]]}


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"a: &x 1\nb: *x", "line 1, column 4: an anchor (&name) is not allowed"),
        (b"a: [1]\nb: *x", "line 2, column 4: an alias (*name) is not allowed"),
        (b"a: !!str 1", "line 1, column 4: a tag (tag:yaml.org,2002:str) is not allowed"),
        (
            b"a: !!python/object/apply:os.system [ls]",
            "line 1, column 4: a tag (tag:yaml.org,2002:python/object/apply:os.system)"
            " is not allowed",
        ),
        (b"a: 1\nb: 2\na: 3", "line 3, column 1: the key “a” is given twice"),
        (b"x: {k: 1, k: 1}", "line 1, column 11: the key “k” is given twice"),
        (b"? [1]\n: 2", "line 1, column 3: a key should be a text"),
        (b"[" * 100, "line 1, column 61: nested deeper than 60"),
        (b"a: [1", "line 1, column 6: expected ',' or ']', but got '<stream end>'"),
        (b"\xff\xfe", "byte 0: not UTF-8"),
        (b"a" * (MAX_BYTES + 1), f"the file: larger than {MAX_BYTES} bytes"),
        (b"a: 1\n---\nb: 2", "line 2, column 1: but found another document"),
    ],
)
def test_refuses(content, fault):
    with pytest.raises(BadDocument) as refused:
        read_yaml(content)
    assert str(refused.value) == fault


def test_keys_and_values_are_counted(monkeypatch):
    monkeypatch.setattr(documents, "MAX_VALUES", 7)
    assert read_yaml(b"a: 1\nb: [1, 2]") == {"a": 1, "b": [1, 2]}
    with pytest.raises(BadDocument) as refused:
        read_yaml(b"a: 1\nb: [1, 2, 3]")
    assert str(refused.value) == "line 2, column 11: more than 7 keys and values"


def test_the_schema_is_itself_valid():
    # Checked by the jsonschema library against the published meta-schema of draft 2020-12.
    Draft202012Validator.check_schema(json.loads(SCHEMA.read_text(encoding="utf-8")))


def test_the_schema_and_the_code_have_the_same_closed_lists():
    cards = json.loads(SCHEMA.read_text(encoding="utf-8"))["$defs"]
    card = cards["card"]["properties"]
    assert card["measure"]["properties"]["unit"]["enum"] == [*UNITS]
    assert card["tier"]["enum"] == [*TIERS]
    assert cards["role"]["properties"]["loads"]["items"]["enum"] == [*LOADS]
    assert cards["role_name"]["enum"] == [*ROLES]


CARD_KEYS = json.loads(SCHEMA.read_text(encoding="utf-8"))["$defs"]["card"]["properties"]


def small(**card):
    return {
        "format": "curriculum/1",
        "name": "ours",
        "families": {"tight": "Holding tight"},
        "skills": {
            "plank": {
                "name": "Plank",
                "family": "tight",
                "roles": {"solo": {}},
                "criterion": "20 s",
                **card,
            }
        },
    }


def test_a_small_curriculum_has_no_fault():
    assert schema_faults(small(), schema=SCHEMA) == []


@pytest.mark.parametrize(
    ("card", "fault"),
    [
        ({"criterion": ""}, Fault("/skills/plank/criterion", "should not be empty")),
        ({"criterion": 20}, Fault("/skills/plank/criterion", "should be a text")),
        ({"lifted": "yes"}, Fault("/skills/plank/lifted", "should be true or false")),
        ({"tier": "high"}, Fault("/skills/plank/tier", "should be one of floor, low, mid")),
        ({"youngest_age": 1}, Fault("/skills/plank/youngest_age", "should be at least 2")),
        ({"carried_share": 2}, Fault("/skills/plank/carried_share", "should be at most 1")),
        ({"roles": {}}, Fault("/skills/plank/roles", "should not be empty")),
        ({"spot": {}}, Fault("/skills/plank/spot/stands", "missing")),
        ({"steps": "one"}, Fault("/skills/plank/steps", "should be a list")),
        (
            {"measure": {"unit": "s", "figure": 0}},
            Fault("/skills/plank/measure/figure", "should be above 0"),
        ),
        (
            {"roles": {"solo": {"loads": ["wrists", "wrists"]}}},
            Fault("/skills/plank/roles/solo/loads", "has an item twice"),
        ),
        (
            {"roles": {"solo": {}, "a/b~c": {}}},
            Fault(
                "/skills/plank/roles/a~1b~0c",
                "should be one of solo, partner, base, flyer, spotter, front, middle, back",
            ),
        ),
        (
            {"blah/blah": 1},
            Fault(
                "/skills/plank/blah~1blah",
                "unknown key; known are " + ", ".join(CARD_KEYS),
            ),
        ),
        (
            {"roles": {"solo": {"needs": {}}}},
            Fault(
                "/skills/plank/roles/solo/needs", "should have all_of, any_of, or skill and help"
            ),
        ),
        (
            {"roles": {"solo": {"needs": {"any_of": []}}}},
            Fault("/skills/plank/roles/solo/needs/any_of", "should not be empty"),
        ),
        (
            {"roles": {"solo": {"needs": {"skill": "x", "help": "alone"}}}},
            Fault(
                "/skills/plank/roles/solo/needs/help",
                "should be one of hands_on, hands_near, no_spot",
            ),
        ),
        (
            {"roles": {"top": {}}},
            Fault(
                "/skills/plank/roles/top",
                "should be one of solo, partner, base, flyer, spotter, front, middle, back",
            ),
        ),
    ],
)
def test_names_the_place_of_a_fault(card, fault):
    assert schema_faults(small(**card), schema=SCHEMA) == [fault]


def test_lists_every_fault_at_once():
    document = small(name="", family="x y", blah=1)
    document["format"] = "curriculum/2"
    del document["families"]
    places = [fault.place for fault in schema_faults(document, schema=SCHEMA)]
    assert places == [
        "/families",
        "/format",
        "/skills/plank/blah",
        "/skills/plank/family",
        "/skills/plank/name",
    ]


def test_of_very_many_faults_the_first_are_named():
    document = small() | {f"k{number:04}": 1 for number in range(1003)}
    faults = schema_faults(document, schema=SCHEMA)
    assert [fault.place for fault in faults[-2:]] == ["/k0999", "the file"]
    assert (len(faults), faults[-1].message) == (1001, "and 3 faults more")


def test_a_long_list_of_things_that_all_differ_is_read_in_one_go():
    succession = [{"from": f"a{number}", "to": f"b{number}"} for number in range(10_000)]
    faults = schema_faults(small() | {"succession": succession}, schema=SCHEMA)
    assert faults == [Fault("/succession", "more than 1000 items")]
    faults = schema_faults(small() | {"succession": succession[:3] + succession[:1]}, schema=SCHEMA)
    assert faults == [Fault("/succession", "has an item twice")]
