"""What waits for a head teacher, over HTTP."""

from datetime import timedelta
from uuid import uuid4

from accounts.models import Event
from classes.models import Attempt, Erased, HeldRow
from tests.api.cast import NOW, unknown_id
from tests.api.test_attempts import ends, hand_in, held, row, stored

HELD = "/api/v1/held"


def waiting(client):
    return {one["row"].get("id"): one for one in client.get(HELD).json()["rows"]}


def held_row(world, as_assistant, **different):
    """A row that the assistant hands in after she has lost the studio."""
    one = row(world.own, **different)
    ends(world, "assistant", timedelta(days=1))
    assert hand_in(as_assistant, one) == [held(one)]
    return one


def decide(client, one, what):
    return client.post(f"{HELD}/{one['id']}/{what}")


def test_a_held_row_is_told_and_admitted(world, as_assistant, as_head):
    one = held_row(world, as_assistant)
    told = waiting(as_head)[one["id"]]
    member = str(world.members["assistant"].id)
    assert told == {
        "id": told["id"],
        "row": one,
        "student_name": "Amparo",
        "skill_name": "Chest rest",
        "on": "2026-03-10",
        "reason": "after_end",
        "member": member,
        "member_name": "assistant of Quayside Hall",
        "sent_by": member,
        "sent_by_name": "assistant of Quayside Hall",
        "received_at": "2026-03-10T17:05:00Z",
    }
    assert not Attempt.objects.filter(id=one["id"]).exists()
    answer = decide(as_head, told, "admit")
    assert (answer.status_code, answer.json()) == (200, stored(one, "late"))
    kept = Attempt.objects.get(id=one["id"])
    assert (str(kept.member_id), str(kept.sent_by_id), kept.received_at) == (member, member, NOW)
    assert one["id"] not in waiting(as_head)
    event = Event.objects.get(what="admit_held")
    assert (str(event.about), event.details) == (world.own.student, {"row": one["id"]})
    assert decide(as_head, told, "admit").status_code == 404


def test_a_held_row_is_thrown_away(world, as_assistant, as_head):
    one = held_row(world, as_assistant)
    told = waiting(as_head)[one["id"]]
    assert decide(as_head, told, "discard").status_code == 204
    assert one["id"] not in waiting(as_head)
    assert not Attempt.objects.filter(id=one["id"]).exists()
    assert Event.objects.get(what="discard_held").details == {"row": one["id"]}
    assert decide(as_head, told, "discard").status_code == 404


def test_what_the_log_refuses_stays_held(world, as_assistant, as_head):
    one = held_row(world, as_assistant)
    hand_in(as_head, one | {"spot": "none"})
    told = waiting(as_head)[one["id"]]
    answer = decide(as_head, told, "admit").json()
    assert answer == {"id": one["id"], "status": "refused", "code": "id_reused", "pointer": "/id"}
    assert one["id"] in waiting(as_head)


def test_what_was_stored_meanwhile_waits_no_longer(world, as_assistant, as_head):
    one = held_row(world, as_assistant)
    hand_in(as_head, one)
    answer = decide(as_head, waiting(as_head)[one["id"]], "admit")
    assert answer.json()["status"] == "already_stored"
    assert one["id"] not in waiting(as_head)


def test_a_row_about_an_erased_child_goes(world, as_assistant, as_head):
    one = held_row(world, as_assistant)
    HeldRow.objects.filter(row_id=one["id"]).update(payload=one | {"student": str(unknown_id())})
    Erased.objects.create(school_id=world.own.school, student_id=unknown_id(), erased_at=NOW)
    told = waiting(as_head)[one["id"]]
    assert (told["student_name"], told["skill_name"]) == (None, "Chest rest")
    answer = decide(as_head, told, "admit").json()
    assert (answer["status"], answer["code"], answer["pointer"]) == (
        "refused",
        "erased",
        "/student",
    )
    assert one["id"] not in waiting(as_head)


def test_what_was_left_on_a_phone_is_loaded_and_held(world, as_head):
    good, bad, foreign = row(world.own), row(world.own, spot="near"), row(world.foreign)
    member = str(world.members["assistant"].id)
    body = {"member": member, "rows": [good, bad, foreign]}
    answer = as_head.post("/api/v1/attempts/rescue", body, format="json")
    assert [(one["status"], one.get("pointer")) for one in answer.json()["rows"]] == [
        ("held", None),
        ("refused", "/rows/1/spot"),
        ("refused", "/rows/2/student"),
    ]
    told = waiting(as_head)[good["id"]]
    assert (told["reason"], told["member"]) == ("rescued", member)
    assert told["sent_by"] == str(world.members["head"].id)
    again = as_head.post("/api/v1/attempts/rescue", body, format="json").json()["rows"]
    assert again[0] == held(good)
    assert decide(as_head, told, "admit").json() == stored(good)
    kept = Attempt.objects.get(id=good["id"])
    assert (str(kept.member_id), kept.sent_by_id) == (member, world.members["head"].id)
    event = Event.objects.filter(what="rescue_rows").first()
    assert (str(event.about), event.details) == (member, {"rows": 3})


def test_a_phone_of_nobody_who_is_known(world, as_head):
    for id_ in (str(uuid4()), world.foreign.member):
        answer = as_head.post("/api/v1/attempts/rescue", {"member": id_, "rows": []}, format="json")
        assert answer.status_code == 400
        assert answer.json()["errors"] == [
            {"pointer": "/member", "code": "invalid", "detail": "unknown"}
        ]
