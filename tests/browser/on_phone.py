"""What a person does and sees beside the mat, and what is on the disk of her phone."""

import re
import time

OUTCOMES = {"not there": "not_there", "shaky": "shaky", "clean": "clean"}
KEPT_WITHIN = 60
ON_DISK = """([name, table]) => new Promise((found, failed) => {
  const opened = indexedDB.open(name)
  opened.onerror = () => failed(opened.error)
  opened.onsuccess = () => {
    const asked = opened.result.transaction(table).objectStore(table).getAll()
    asked.onerror = () => failed(asked.error)
    asked.onsuccess = () => { opened.result.close(); found(asked.result) }
  }
})"""

# In one go, so that a button cannot go in between.
PRESSED = """(name) => [...document.querySelectorAll('main button')]
  .find((one) => one.textContent.includes(name))?.click()"""

# How long a request is waited for is up to the test.
WAITING = """() => {
  const { timeout } = AbortSignal
  const late = new AbortController()
  AbortSignal.timeout = () => late.signal
  window.waitNoLonger = () => {
    AbortSignal.timeout = timeout
    late.abort(new DOMException('waited for long enough', 'TimeoutError'))
  }
}"""


def on_disk(page, member, table="rows"):
    """What is kept for a member, in the order in which it was written."""
    return page.evaluate(ON_DISK, [f"counterpoise-{member}", table])


def keep_lesson(page, server, member, lesson="lesson"):
    """Opens a lesson with a signal, so that it and the pages are on this phone without one."""
    page.goto(f"{server.url}/lessons/{server.world[lesson]}")
    here = page.get_by_role("heading", name="Who is here")
    again = page.get_by_role("button", name="Try again")
    here.or_(again).first.wait_for()
    if again.is_visible():  # a machine that does too much at once
        again.click()
    here.wait_for()
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    url = f"/api/v1/lessons/{server.world[lesson]}"
    needed = {f"{url}/sheet", f"{url}/tries?limit=500"}
    end = time.monotonic() + KEPT_WITHIN
    while not needed <= {one["url"] for one in on_disk(page, member, "reads")}:
        assert time.monotonic() < end, "the lesson is not kept"
        page.wait_for_timeout(100)


def open_station(page, server, skill):
    page.goto(f"{server.url}/lessons/{server.world['lesson']}/mat/{skill}")
    turns(page).wait_for()


def turns(page):
    """Who tries at a station, next up first: groups, where there are any."""
    return page.get_by_role("list", name="Next up first").first


def tap_next(page, server, outcome):
    """One try of who is next up: the rows it makes, as (child, outcome)."""
    unit = turns(page).get_by_role("group").first
    who = unit.get_attribute("aria-label")
    unit.get_by_role("button", name=outcome).click()
    return [
        (child, OUTCOMES[outcome])
        for name, child in server.world["children"].items()
        if re.search(rf"\b{name}\b", who)
    ]


def line(page):
    """The one line at the bottom that says what is on this phone."""
    return page.get_by_title("What is on this phone")


def wait_for_line(page, said):
    """Looks at every frame, as a person's eye does, and not a few times a second."""
    page.wait_for_function(
        "(said) => document.querySelector('a[title=\"What is on this phone\"]')"
        "?.textContent.includes(said)",
        arg=said,
    )


def tries(count):
    return "1 try" if count == 1 else f"{count} tries"


def open_rows(page):
    line(page).click()
    page.get_by_role("heading", name="On this phone").wait_for()


def send_now(page):
    """On the page of what is on this phone, unless it has sent by itself just now; ends when it is
    known what became of it."""
    button = page.get_by_role("button", name="Send now")
    button.or_(line(page).filter(has_text="All sent")).first.wait_for()
    page.evaluate(PRESSED, "Send now")
    sent(page)


def send_in_vain(page, so_far):
    """The same where no answer comes: her phone waits until it is `so_far`, and no longer."""
    page.evaluate(WAITING)
    with page.expect_request(lambda request: request.method == "POST"):
        page.get_by_role("button", name="Send now").click()
    end = time.monotonic() + KEPT_WITHIN
    while not so_far():
        assert time.monotonic() < end, "the server has not come as far"
        page.wait_for_timeout(50)
    page.evaluate("() => waitNoLonger()")
    sent(page)


def sent(page):
    page.wait_for_function(
        "() => ![...document.querySelectorAll('main [role=status]')]"
        ".some((one) => one.textContent.includes('Sending'))"
    )


def sign_in_again(page, server, name, over=None):
    """Over the running lesson; returns what lies over it."""
    if over is None:
        page.get_by_role("button", name="Sign in", exact=True).click()
        over = page.get_by_role("dialog", name="Sign in again to send")
    over.get_by_label("Email").fill(server.world["emails"][name])
    over.get_by_label("Password", exact=True).fill(server.world["password"])
    over.get_by_role("button", name="Sign in", exact=True).click()
    return over


def signal_again(page):
    """The phone has found a network, and says so to its pages."""
    page.evaluate("() => dispatchEvent(new Event('online'))")


def look_again(page):
    """She turns back to her phone, and what others have entered is asked for."""
    page.evaluate("() => document.dispatchEvent(new Event('visibilitychange'))")
