"""A phone whose disk is full says so, and pretends nothing."""

import json

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import sign_in
from tests.browser.on_phone import (
    keep_lesson,
    line,
    on_disk,
    open_station,
    tap_next,
    tries,
    turns,
    wait_for_line,
)

WHO = "Tendai R."
ALONE, TOGETHER = "standing_tight", "kneeling_on_a_table"
NOT_SAVED = "NOT saved. This phone could not write it: enter it again, or write it on paper."
# The disk takes so many rows more, then none until it is emptied.
FULL = """([left, how]) => {
  const { add } = IDBObjectStore.prototype
  IDBObjectStore.prototype.add = function (...row) {
    if (left-- <= 0 && how === 'at once') throw new DOMException('full', 'QuotaExceededError')
    const asked = add.apply(this, row)
    if (left < 0) asked.addEventListener('success', () => this.transaction.abort())
    return asked
  }
  window.emptied = () => { IDBObjectStore.prototype.add = add }
}"""

# What a member has on this phone is asked for, and nothing answers.
SILENT = """(member) => {
  const { open } = IDBFactory.prototype
  IDBFactory.prototype.open = function (name, ...more) {
    const asked = open.call(this, name, ...more)
    if (name.endsWith(member)) asked.addEventListener = () => {}
    return asked
  }
}"""


@pytest.fixture
def phone(phone, server):
    """At a station with no signal."""
    server.start()
    sign_in(phone, server, WHO)
    keep_lesson(phone, server, server.world["members"][WHO])
    server.stop()
    return phone


@pytest.mark.parametrize("how", ["at once", "at the end"])
def test_what_was_not_written_is_not_said(phone, server, how):
    member = server.world["members"][WHO]
    open_station(phone, server, ALONE)
    tap_next(phone, server, "clean")
    wait_for_line(phone, f"{tries(1)} on this phone")
    rows = on_disk(phone, member)

    phone.evaluate(FULL, [0, how])
    order = turns(phone).inner_text()
    tap_next(phone, server, "shaky")
    expect(phone.get_by_text(NOT_SAVED)).to_be_visible()
    expect(line(phone)).to_contain_text(f"{tries(1)} on this phone")
    assert turns(phone).inner_text() == order
    assert on_disk(phone, member) == rows

    phone.evaluate("() => window.emptied()")
    phone.get_by_role("button", name="Close").click()
    tap_next(phone, server, "shaky")
    wait_for_line(phone, f"{tries(2)} on this phone")
    expect(phone.get_by_text(NOT_SAVED)).to_be_hidden()


def test_of_two_who_try_together_neither_is_written(phone, server):
    open_station(phone, server, TOGETHER)
    phone.evaluate(FULL, [1, "at once"])
    rows = tap_next(phone, server, "clean")
    assert len(rows) == 2
    expect(phone.get_by_text(NOT_SAVED)).to_be_visible()
    expect(line(phone)).to_have_text("All sent")
    assert on_disk(phone, server.world["members"][WHO]) == []


def test_what_the_disk_has_not_told_is_not_said_to_be_sent(phone, server):
    open_station(phone, server, ALONE)
    phone.add_init_script(f"({SILENT})({json.dumps(server.world['members'][WHO])})")
    phone.reload()
    expect(line(phone)).to_have_text("Reading what is on this phone …")
    line(phone).click()
    expect(phone.get_by_role("heading", name="On this phone")).to_be_visible()
    expect(phone.get_by_text("All that was entered is sent")).to_have_count(0)
