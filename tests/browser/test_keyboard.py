"""An evening by keyboard alone: no finger, no mouse."""

from playwright.sync_api import expect

from tests.browser.conftest import sign_in
from tests.browser.on_phone import open_station, tap_next

MOST_TABS = 120
SAYS = """() => { const one = document.activeElement
  return one === document.body ? '' : (one.ariaLabel ?? one.labels?.[0]?.textContent ??
    one.textContent).trim().replace(/\\s+/g, ' ') }"""


def tab_to(page, name):
    """Presses Tab until what is called so has the focus, which must be seen."""
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if page.evaluate(SAYS).startswith(name):
            shown = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
            assert shown != "none", name
            return
    raise AssertionError(f"no way by keyboard to “{name}”")


def press(page, name, key="Enter"):
    tab_to(page, name)
    page.keyboard.press(key)


def test_an_evening_by_keyboard(phone, server):
    page = phone
    page.goto("/sign-in")
    page.get_by_role("heading", name="Sign in").wait_for()
    tab_to(page, "Email")
    page.keyboard.type(server.world["emails"]["Tendai R."])
    tab_to(page, "Password")
    page.keyboard.type(server.world["password"])
    press(page, "Stay signed in", "Space")
    press(page, "Sign in")
    expect(page.get_by_role("heading", name="Today")).to_be_visible()

    press(page, "Tuesday beginners")
    expect(page.get_by_role("heading", name="Tuesday beginners")).to_be_focused()
    press(page, "All here")
    expect(page.get_by_text("12 here")).to_be_visible()

    # A dialog takes the focus, keeps it, and gives it back.
    press(page, "Somebody new or from another class")
    tab_to(page, "Given name")
    page.keyboard.press("Escape")
    expect(page.get_by_role("button", name="Somebody new")).to_be_focused()

    press(page, "Mat")
    expect(page.get_by_role("heading", name="Mat", exact=True)).to_be_focused()
    press(page, "Kneeling on a table")
    expect(page.get_by_role("heading", name="Kneeling on a table")).to_be_focused()
    press(page, "clean")
    undo = page.get_by_role("button", name="Undo").first
    expect(undo).to_be_visible()
    press(page, "Undo")
    expect(page.get_by_text("Taken back").first).to_be_visible()


def test_the_focus_goes_on_where_what_was_pressed_goes(phone, server):
    page = phone
    sign_in(page, server, "Marit O.")
    open_station(page, server, "front_plank")
    tap_next(page, server, "clean")
    title = page.locator("summary", has_text="Tonight’s tries here")
    title.press("Enter")
    title.locator("..").get_by_role("listitem").first.get_by_role("button").press("Enter")
    page.get_by_role("dialog").get_by_role("button", name="Take it away").press("Enter")
    expect(page.get_by_role("dialog")).to_have_count(0)
    expect(title).to_be_focused()

    page.goto(f"/children/{server.world['children']['Amara']}")
    page.locator("summary", has_text="Not for now").press("Enter")
    page.get_by_role("button", name="Show them").press("Enter")
    expect(page.get_by_role("heading", name="All entries")).to_be_focused()
