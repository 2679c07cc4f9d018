"""What the server has not taken: why, and what a person can do about it."""

import json
from datetime import date, timedelta
from urllib.request import Request, urlopen
from uuid import UUID

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import sign_in
from tests.browser.on_phone import (
    keep_lesson,
    line,
    on_disk,
    open_rows,
    open_station,
    send_now,
    tap_next,
    wait_for_line,
)

TEACHER, ASSISTANT, HEAD = "Tendai R.", "Aroha T.", "Marit O."
SKILL, NAME = "standing_tight", "Standing tight"


@pytest.fixture
def server(server):
    yield server
    server.fail("")


def of_row(page, text):
    return page.get_by_role("listitem").filter(has_text=text)


def sign_her_off(server):
    """Yesterday was the last day of the assistant's access, says the head teacher now."""
    said = {"until": (date.fromisoformat(server.world["on"]) - timedelta(days=1)).isoformat()}
    asked = Request(  # noqa: S310, this machine's own
        f"{server.url}/api/v1/staff/{server.world['members'][ASSISTANT]}",
        method="PATCH",
        data=json.dumps(said).encode(),
        headers={
            "Authorization": f"Token {server.world['tokens'][HEAD]}",
            "Content-Type": "application/json",
        },
    )
    with urlopen(asked) as answer:  # noqa: S310
        assert answer.status == 200


def test_a_child_whose_name_is_none_is_corrected_with_all_that_hangs_on_her(phone, server):
    member = server.world["members"][TEACHER]
    sign_in(phone, server, TEACHER)
    keep_lesson(phone, server, member)
    server.fail("500")
    phone.get_by_role("button", name="Somebody new or from another class").click()
    phone.get_by_label("Given name").fill("Juniper 2")
    phone.get_by_role("button", name="Add her").click()
    wait_for_line(phone, "2 entries on this phone")
    open_station(phone, server, SKILL)
    phone.get_by_role("group", name="A try of Juniper 2").get_by_role(
        "button", name="shaky"
    ).click()
    wait_for_line(phone, "3 entries on this phone")
    tap_next(phone, server, "clean")
    wait_for_line(phone, "4 entries on this phone")

    # Answers come in another order than rows went, and are taken by whose they are.
    server.fail("turned")
    open_rows(phone)
    send_now(phone)
    expect(line(phone)).to_have_text("All sent · 3 need a look")
    expect(phone.get_by_role("heading", name="Not taken (3)")).to_be_visible()
    trial = of_row(phone, "Juniper 2, on trial")
    expect(trial).to_contain_text("Something in it is not as it should be.")
    for text in ("Juniper 2: here", f"{NAME}, Juniper 2"):
        expect(of_row(phone, text)).to_contain_text("The school knows no such child")
    assert sorted((row["kind"], row["state"]) for row in on_disk(phone, member)) == [
        ("attempts", "refused"),
        ("attempts", "stored"),
        ("attendance", "refused"),
        ("students", "refused"),
    ]

    server.fail("")
    trial.get_by_text("Correct the name").click()
    trial.get_by_label("Given name").fill("Juniper")
    trial.get_by_role("button", name="Send it so").click()
    expect(line(phone)).to_have_text("All sent")
    expect(phone.get_by_role("heading", name="Not taken")).to_be_hidden()
    rows = {row["kind"]: row for row in on_disk(phone, member) if row["kind"] != "attempts"}
    child = UUID(rows["students"]["id"]).hex
    assert server.ask("SELECT given_name FROM identity WHERE student_id = ?", child) == [
        ("Juniper",)
    ]
    assert server.ask("SELECT state FROM attendance WHERE student_id = ?", child) == [("here",)]
    assert server.ask("SELECT outcome FROM attempt WHERE student_id = ?", child) == [("shaky",)]


def test_what_was_logged_after_her_access_ended_is_held(phone, server):
    member = server.world["members"][ASSISTANT]
    sign_in(phone, server, ASSISTANT)
    keep_lesson(phone, server, member)
    sign_her_off(server)
    server.stop()
    phone.get_by_role("button", name="away").first.click()
    wait_for_line(phone, "1 entry on this phone")
    open_station(phone, server, SKILL)
    tap_next(phone, server, "clean")
    tap_next(phone, server, "shaky")
    wait_for_line(phone, "3 entries on this phone")

    server.start()
    open_rows(phone)
    send_now(phone)
    expect(line(phone)).to_have_text("All sent · 1 needs a look · 2 with a head teacher")
    expect(phone.get_by_role("heading", name="With a head teacher (2)")).to_be_visible()
    expect(phone.get_by_text("They count once a head teacher has admitted them.")).to_be_visible()
    held = [row for row in on_disk(phone, member) if row["state"] == "held"]
    assert sorted(server.ask("SELECT row_id FROM held_row")) == sorted(
        (UUID(row["id"]).hex,) for row in held
    )
    refused = of_row(phone, ": away")
    expect(refused).to_contain_text("A head teacher can enter it.")
    refused.get_by_role("button", name="Put aside").click()
    expect(line(phone)).to_have_text("All sent · 2 with a head teacher")
    assert {row["state"] for row in on_disk(phone, member)} == {"held", "refused"}
