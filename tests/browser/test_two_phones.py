"""Two phones correct one try while neither has a signal: one answer everywhere afterwards."""

import re
from uuid import UUID

from playwright.sync_api import expect

from tests.browser.conftest import sign_in
from tests.browser.on_phone import (
    keep_lesson,
    look_again,
    open_station,
    signal_again,
    tap_next,
    tries,
    wait_for_line,
)

SKILL = "standing_tight"
AT_A_TIME = re.compile(r"^\d\d?:\d\d ")
WORDS = {"not_there": "not there", "shaky": "shaky", "clean": "clean"}


def open_tries(page):
    """Tonight's tries here, unfolded."""
    page.get_by_text("Tonight’s tries here (1)").click()
    return page.get_by_role("button", name=AT_A_TIME)


def correct(page, outcome):
    open_tries(page).click()
    over = page.get_by_role("dialog")
    over.get_by_role("group", name="Outcome").get_by_role("button", name=outcome).click()
    wait_for_line(page, tries(1))
    over.get_by_role("button", name="Close").click()


def test_both_and_the_server_say_the_same(phones, server):
    first, second = phones(), phones()
    sign_in(first, server, "Tendai R.")
    keep_lesson(first, server, server.world["members"]["Tendai R."])
    open_station(first, server, SKILL)
    ((child, _),) = tap_next(first, server, "shaky")
    wait_for_line(first, "All sent")
    sign_in(second, server, "Aroha T.")
    keep_lesson(second, server, server.world["members"]["Aroha T."])
    open_station(second, server, SKILL)

    server.stop()
    correct(first, "clean")
    correct(second, "not there")
    server.start()
    for phone in (first, second):
        signal_again(phone)
        wait_for_line(phone, "All sent")

    rows = server.ask(
        "SELECT revision, id, outcome FROM attempt WHERE student_id = ? AND attempt IN"
        " (SELECT attempt FROM attempt WHERE revision = 2)",
        UUID(child).hex,
    )
    assert sorted((revision, outcome) for revision, _, outcome in rows) == [
        (1, "shaky"),
        (2, "clean"),
        (2, "not_there"),
    ]
    counts = max(rows)[2]
    for phone in (first, second):
        look_again(phone)
        expect(phone.get_by_role("button", name=AT_A_TIME)).to_contain_text(WORDS[counts])
