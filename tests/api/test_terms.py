TERMS = "/api/v1/terms"


def test_a_term_is_added_read_and_changed_and_taken_out(world, as_head, as_assistant):
    said = {"name": "Summer", "first": "2026-05-04", "last": "2026-07-10"}
    made = as_head.post(TERMS, said, format="json")
    assert made.status_code == 201
    term = made.json()
    assert term == {"id": term["id"], **said}
    one = f"{TERMS}/{term['id']}"
    assert as_head.patch(one, {"last": "2026-07-03"}, format="json").status_code == 200
    assert as_assistant.get(one).json() == {**term, "last": "2026-07-03"}
    rows = as_assistant.get(TERMS).json()["rows"]
    assert [(row["id"], row["first"]) for row in rows] == [
        (world.own.term, "2026-01-05"),
        (term["id"], "2026-05-04"),
    ]
    assert as_head.delete(one).status_code == 204
    assert as_assistant.get(one).status_code == 404


def test_two_never_overlap(world, as_head):
    said = {"name": "Lent", "first": "2026-02-02", "last": "2026-02-20"}
    answer = as_head.post(TERMS, said, format="json")
    assert answer.status_code == 400
    assert answer.json()["errors"] == [
        {
            "pointer": "/first",
            "code": "invalid",
            "detail": "overlaps with the term Spring 2026",
        }
    ]


def test_days_are_days(as_head):
    for first in ("2026-5-4", "2026-02-30", "4.5.2026", 20260504, None, "9999-01-01"):
        said = {"name": "Summer", "first": first, "last": "2026-07-10"}
        answer = as_head.post(TERMS, said, format="json")
        assert answer.status_code == 400
        assert [error["pointer"] for error in answer.json()["errors"]] == ["/first"]
