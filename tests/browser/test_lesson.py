"""A lesson as it is opened: for the first time, and after it was left."""

from datetime import date, timedelta

from playwright.sync_api import expect

from tests.browser.conftest import sign_in


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
