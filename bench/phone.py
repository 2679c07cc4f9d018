"""The phone beside the mat: bytes, start with no signal, and a tap until it is kept."""

import gzip
import re
import shutil
from pathlib import Path
from statistics import median

from tests.browser.conftest import PATIENCE_MS, PHONE, sign_in
from tests.browser.on_phone import keep_lesson
from tests.browser.server import BUILT, Server
from tests.chromium import FLAGS, installed

ROUNDS = 9
SLOWER = 4
SKILL = "kneeling_on_a_table"
BARE = Path(__file__).parent / "bare"
# Looks at every frame: when what is waited for is first shown, in ms since the page was asked for.
START = """(ready) => {
  const look = () => document.querySelector(ready)
    ? (window.startedAt = performance.now()) : requestAnimationFrame(look)
  look()
}"""
# The same from the tap on: `said` is what has to be shown another time than before.
TAPPED = """(said) => new Promise((told) => {
  const before = document.querySelector(said).textContent
  addEventListener('click', ({ timeStamp }) => {
    const look = () => document.querySelector(said).textContent === before
      ? requestAnimationFrame(look) : told(performance.now() - timeStamp)
    look()
  }, { capture: true, once: true })
})"""


def main() -> None:
    if not installed() or not (BUILT / "index.html").exists():
        print("left out: it needs `make web` and chromium")
        return
    from playwright.sync_api import sync_playwright

    server = Server()
    shutil.copytree(BARE, server.built / "bare")
    try:
        server.start()
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=installed(), args=list(FLAGS))
            _bytes()
            _times(browser, server)
            browser.close()
    finally:
        server.close()


def _bytes() -> None:
    page = (BUILT / "index.html").read_text("utf-8")
    named = re.findall(r'(?:src|href)="/(assets/[^"]+)"', page)
    ours = sum(_zipped(BUILT / name) for name in ("index.html", *named))
    bare = sum(_zipped(BARE / name) for name in ("page.html", "bare.js"))
    print(f"first load, gzipped      {ours:8,} bytes    at most 100,000 wanted")
    print(f"  a bare page            {bare:8,} bytes")


def _zipped(path: Path) -> int:
    return len(gzip.compress(path.read_bytes()))


def _phone(browser, server: Server):
    """A page on a phone of its own: the worker of one would answer for the other."""
    context = browser.new_context(
        base_url=server.url, viewport=PHONE, has_touch=True, is_mobile=True, locale="en-GB"
    )
    context.set_default_timeout(PATIENCE_MS)
    return context.new_page()


def _times(browser, server: Server) -> None:
    page, bare = _phone(browser, server), _phone(browser, server)
    sign_in(page, server)
    keep_lesson(page, server, server.world["members"]["Tendai R."])
    bare.goto("/bare/page.html")
    bare.wait_for_function("() => navigator.serviceWorker.controller !== null")
    at = f"/lessons/{server.world['lesson']}/mat/{SKILL}"
    ours = (page, at, "ol [role=group] button", 'a[title="What is on this phone"]')
    pages = (ours, (bare, "/bare/page.html", "button", "#said"))
    for one, _, ready, _ in pages:
        one.add_init_script(f"({START})({ready!r})")
        one.context.set_offline(True)
        slower = one.context.new_cdp_session(one)
        slower.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    starts, taps = ([], []), ([], [])
    for _ in range(ROUNDS):
        for which, (one, address, ready, said) in enumerate(pages):
            one.goto(address)
            one.wait_for_function("() => window.startedAt !== undefined")
            starts[which].append(one.evaluate("window.startedAt"))
            told = one.evaluate_handle(f"() => ({{ done: ({TAPPED})({said!r}) }})")
            one.wait_for_timeout(500)
            one.locator(ready).first.tap()
            taps[which].append(told.evaluate("({ done }) => done"))
    for what, (mine, least) in (("start with no signal", starts), ("tap until it is kept", taps)):
        print(f"{what:24} {median(mine):8.1f} ms")
        print(f"  a bare page            {median(least):8.1f} ms")
        print(f"  ours / bare            {median(mine) / median(least):8.2f}")


if __name__ == "__main__":
    main()
