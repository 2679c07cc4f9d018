"""One phone, two of the staff: what one has left waits for her, and nobody else can send it."""

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
    sign_in_again,
    signal_again,
    tap_next,
    tries,
    wait_for_line,
)

FIRST, SECOND = "Tendai R.", "Aroha T."
SKILL = "standing_tight"
BY_WHOM = "SELECT member_id, sent_by_id, count(*) FROM attempt WHERE id = ? GROUP BY 1, 2"


@pytest.fixture
def server(server):
    server.fail("")
    yield server
    server.fail("")


def by_whom(server, rows):
    """Who logged and who sent each of the rows, as far as the server has them."""
    found = (server.ask(BY_WHOM, UUID(row["id"]).hex) for row in rows)
    return [(str(UUID(who)), str(UUID(by)), times) for one in found for who, by, times in one]


def log(page, server, count):
    """So many tries at a station, none of them sent."""
    for done in range(count):
        tap_next(page, server, ("clean", "shaky", "not there")[done % 3])
        wait_for_line(page, f"{tries(done + 1)} on this phone")


def test_what_one_leaves_waits_for_her(phone, server):
    members = server.world["members"]
    sign_in(phone, server, FIRST)
    keep_lesson(phone, server, members[FIRST])
    open_station(phone, server, SKILL)
    server.fail("500")
    log(phone, server, 3)
    hers = on_disk(phone, members[FIRST])
    phone.goto("/settings")
    phone.get_by_role("button", name="Sign out").click()
    over = phone.get_by_role("dialog", name="Not all is sent")
    expect(over).to_contain_text("3 tries are still on this phone.")
    over.get_by_role("button", name="Sign out, keep them here").click()
    expect(phone.get_by_text(f"3 tries of {FIRST} wait here")).to_be_visible()
    assert on_disk(phone, members[FIRST]) == hers
    assert on_disk(phone, members[FIRST], "reads") == []  # they hold names

    server.fail("")
    sign_in(phone, server, SECOND, stay=False)
    keep_lesson(phone, server, members[SECOND])
    open_station(phone, server, SKILL)
    with phone.expect_response(lambda answer: answer.url.endswith("/attempts/batch")):
        tap_next(phone, server, "clean")
    wait_for_line(phone, "All sent")
    assert by_whom(server, hers) == []
    assert by_whom(server, on_disk(phone, members[SECOND])) == [
        (members[SECOND], members[SECOND], 1)
    ]
    phone.goto("/settings")
    phone.get_by_role("button", name="Sign out").click()
    expect(phone.get_by_text(f"3 tries of {FIRST} wait here")).to_be_visible()
    expect(phone.get_by_text(f"of {SECOND}")).to_be_hidden()

    sign_in(phone, server, FIRST, stay=False)
    wait_for_line(phone, "All sent")
    assert by_whom(server, hers) == [(members[FIRST], members[FIRST], 1)] * 3


def test_nobody_else_sends_them_from_under_her(phone, server):
    members = server.world["members"]
    sign_in(phone, server, FIRST)
    keep_lesson(phone, server, members[FIRST])
    open_station(phone, server, SKILL)
    server.fail("500")
    log(phone, server, 2)
    hers = on_disk(phone, members[FIRST])
    open_rows(phone)
    send_now(phone)
    phone.context.clear_cookies()
    server.fail("")
    send_now(phone)
    expect(line(phone)).to_have_text("2 tries not sent: sign in again")

    phone.go_back()
    over = sign_in_again(phone, server, SECOND)
    expect(over).to_contain_text(f"Signed in here now: {server.world['emails'][SECOND]}.")
    over.get_by_role("button", name="Close").click()
    tap_next(phone, server, "not there")
    signal_again(phone)
    wait_for_line(phone, "3 tries not sent: somebody else is signed in")
    hers = on_disk(phone, members[FIRST])
    assert {row["state"] for row in hers} == {"waiting"}
    assert by_whom(server, hers) == []

    phone.get_by_role("button", name="Sign in", exact=True).click()
    over = phone.get_by_role("dialog", name="Sign in again to send")
    over.get_by_role("button", name=f"Sign in as {FIRST}").click()
    sign_in_again(phone, server, FIRST, over)
    expect(over).to_be_hidden()
    wait_for_line(phone, "All sent")
    assert by_whom(server, hers) == [(members[FIRST], members[FIRST], 1)] * 3
