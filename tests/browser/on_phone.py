"""What a person does and sees beside the mat, and what is on the disk of her phone."""

import re

OUTCOMES = ("not there", "shaky", "clean")
IN_ROLE = re.compile(r"([^\s,()]+) \((\w+)\)")
ON_DISK = """([name, table]) => new Promise((found, failed) => {
  const opened = indexedDB.open(name)
  opened.onerror = () => failed(opened.error)
  opened.onsuccess = () => {
    const db = opened.result
    const asked = db.transaction(table).objectStore(table).getAll()
    asked.onerror = () => failed(asked.error)
    asked.onsuccess = () => { db.close(); found(asked.result) }
  }
})"""


def on_disk(page, member, table="rows"):
    """What is kept for a member, in the order in which it was written."""
    return page.evaluate(ON_DISK, [f"counterpoise-{member}", table])


def line(page):
    """The one line that says what is on this phone."""
    return page.get_by_title("What is on this phone")


def keep_lesson(page, server, member, lesson="lesson"):
    """Opens a lesson with a signal, so that it is on this phone without one."""
    page.goto(f"/lessons/{server.world[lesson]}")
    page.get_by_role("heading", name="Who is here").wait_for()
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    url = f"/api/v1/lessons/{server.world[lesson]}/"
    for _ in range(600):
        kept = {one["url"] for one in on_disk(page, member, "reads")}
        if {f"{url}sheet", f"{url}tries?limit=500"} <= kept:
            return
        page.wait_for_timeout(100)
    raise AssertionError("the lesson was not kept")


def open_station(page, server, skill):
    page.goto(f"{server.url}/lessons/{server.world['lesson']}/mat/{skill}")
    page.get_by_role("list", name="Next up first").wait_for()
