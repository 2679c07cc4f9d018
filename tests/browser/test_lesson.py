"""A lesson as it is opened: for the first time, and after it was left."""

from datetime import date, timedelta

from playwright.sync_api import expect

from tests.browser.conftest import sign_in
from tests.browser.on_phone import keep_lesson, on_disk, wait_for_line


def one_not_soon(page, server):
    """A lesson of the class that "Today" does not read by itself."""
    today = date.fromisoformat(server.world["on"])
    days = f"first={today + timedelta(days=8)}&last={today + timedelta(days=14)}"
    answer = page.request.get(f"/api/v1/lessons?{days}&class={server.world['class']}")
    return answer.json()["rows"][0]


def test_a_first_reading_that_failed_is_tried_again(phone, server):
    sign_in(phone, server)
    lesson = one_not_soon(phone, server)
    phone.wait_for_function("() => navigator.serviceWorker.controller !== null")
    server.stop()
    phone.goto(f"/lessons/{lesson['id']}")
    expect(phone.get_by_role("heading", name="The lesson could not be read")).to_be_visible()
    again = phone.get_by_role("button", name="Try again")
    again.click()
    expect(phone.get_by_text("Not this time either.")).to_be_visible()
    server.start()
    again.click()
    expect(phone.get_by_role("heading", name=lesson["class_name"])).to_be_focused()


# This machine may be slower than the six seconds for which a notice is shown.
NOTICES_STAY = """const later = setTimeout
setTimeout = (run, ms, ...more) => ms === 6000 ? 0 : later(run, ms, ...more)"""


def test_what_was_changed_is_taken_back_after_the_lesson_was_left(phone, server):
    member = server.world["members"]["Tendai R."]
    phone.add_init_script(NOTICES_STAY)
    sign_in(phone, server)
    keep_lesson(phone, server, member)
    phone.goto(f"/lessons/{server.world['lesson']}/groups/kneeling_on_a_table")
    group = phone.get_by_role("region", name="Group 1")
    group.get_by_role("listitem").get_by_role("button").first.click()
    phone.get_by_role("button", name="Elsewhere").click()
    phone.get_by_role("button", name=": not today").click()
    undo = phone.get_by_role("status").get_by_role("button", name="Undo")
    undo.wait_for()
    phone.get_by_role("link", name="Who is here").click()
    phone.get_by_role("link", name="Today").click()
    phone.get_by_role("heading", name="Today").wait_for()
    undo.click()
    expect(phone.get_by_text("Taken back")).to_be_visible()
    said = [row["body"] for row in on_disk(phone, member) if row["kind"] == "attendance"]
    assert [(one["revision"], one["state"]) for one in said] == [(1, "not_today"), (2, "here")]
    wait_for_line(phone, "All sent")


def test_the_sheet_for_the_wall_is_printed_with_a_signal(phone, server):
    sign_in(phone, server)
    keep_lesson(phone, server, server.world["members"]["Tendai R."])
    for page in ("", "/groups"):
        phone.goto(f"/lessons/{server.world['lesson']}{page}")
        with phone.expect_popup() as opened:
            phone.get_by_role("link", name="Print the sheet").click()
        sheet = opened.value
        expect(sheet.get_by_role("heading", name="Tuesday beginners")).to_be_visible()
        sheet.close()
    server.stop()
    phone.reload()
    expect(phone.get_by_text("With a signal the sheet")).to_be_visible()
    expect(phone.get_by_role("link", name="Print the sheet")).to_have_count(0)
    server.start()
