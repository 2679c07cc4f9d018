"""Every page, as the router lists them: for eyes, thumbs and keys of all kinds."""

import gzip
import re

import pytest
from playwright.sync_api import expect

from tests.browser.axe import Axe
from tests.browser.conftest import PATIENCE_MS, sign_in
from tests.browser.server import BUILT, ROOT
from tests.browser.watch import Watch
from tests.browser.world import HEAD, TEACHER

ROUTES = (ROOT / "web" / "src" / "shell" / "routes.ts").read_text("utf-8")
PAGES = re.findall(r"^  (\w+): '(/[^']*)',$", ROUTES, re.M)
SIZES = ({"width": 360, "height": 780}, {"width": 1280, "height": 800})
LEAST_PX = 48
COLOURS = ("color-contrast", "link-in-text-block")
MOST_BYTES = 100_000
SMALL_TARGETS = f"""() => [...document.querySelectorAll(
  'a[href], button, input, select, textarea, summary, [role=button]')]
  .filter((one) => one.checkVisibility() && !one.closest('.unseen') && !one.matches('.skip'))
  .map((one) => [one, (one.closest('label') ?? one).getBoundingClientRect()])
  .filter(([, box]) => box.width < {LEAST_PX} - 0.01 || box.height < {LEAST_PX} - 0.01)
  .map(([one, box]) => `${{one.outerHTML.slice(0, 90)}} ${{box.width}} × ${{box.height}}`)"""
SIDEWAYS = """() => [document.scrollingElement.scrollWidth - innerWidth, ...[...document
  .querySelectorAll('body *')].filter((one) => one.checkVisibility() && !one.closest('.unseen') &&
    !one.matches('.skip') && one.getBoundingClientRect().right > innerWidth + 1)
  .map((one) => one.outerHTML.slice(0, 90))]"""
# A page that asks how wide it is hears of it in the frame after. False where none comes.
DRAWN = """() => Promise.race([
  new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true)))),
  new Promise((done) => setTimeout(done, 20_000, false))])"""
MOVING = """[getComputedStyle(document.documentElement).scrollBehavior,
  document.getAnimations().length]"""


def test_the_router_lists_every_page():
    assert len(PAGES) == ROUTES.count(": '/")
    assert len(PAGES) >= 17


def test_the_first_page_comes_in_less_than_100_kb():
    page = (BUILT / "index.html").read_text("utf-8")
    files = [BUILT / name for name in re.findall(r'(?:src|href)="/(assets/[^"]+)"', page)]
    assert files
    assert sum(len(gzip.compress(file.read_bytes())) for file in files) <= MOST_BYTES


def address(path, world):
    """Where a page stands: what follows a colon is in the world by its name."""
    return re.sub(r":(\w+)", lambda found: world[found[1]], path)


@pytest.fixture(scope="module", params=[("lesson", TEACHER), ("empty", HEAD)])
def screens(request, chromium, server):
    """A signed-in page, and the addresses of all pages: for a teacher with a full evening, and for
    a head teacher with an empty one."""
    lesson, name = request.param
    context = chromium.new_context(base_url=server.url, viewport=SIZES[0], locale="en-GB")
    context.set_default_timeout(PATIENCE_MS)
    watch = Watch(context, server)
    page = context.new_page()
    sign_in(page, server, name)
    world = server.world | {"lesson": server.world[lesson]}
    page.goto(f"/lessons/{world['lesson']}")
    page.get_by_role("heading", name="Who is here").wait_for()
    yield page, [(name, address(path, world)) for name, path in PAGES]
    context.close()
    watch.check()


def settled(page, path):
    page.goto(path)
    page.locator("h1").wait_for()
    expect(page.locator("main > p[role=status], main [aria-busy=true]")).to_have_count(0)


def resize(page, size):
    page.set_viewport_size(size)
    if page.evaluate(DRAWN):
        return
    # Once in hundreds of times Chromium draws a page no more, until it is opened anew.
    settled(page, page.url)
    assert page.evaluate(DRAWN)


def test_every_page_is_for_everyone(screens):
    page, addresses = screens
    axe = Axe(page)
    found = []
    for name, path in addresses:
        page.set_viewport_size(SIZES[0])
        page.emulate_media(reduced_motion="reduce")
        settled(page, path)
        if (said := page.evaluate(MOVING)) != ["auto", 0]:
            found.append(f"{name} moves where nothing should: {said}")
        page.emulate_media(reduced_motion="no-preference")
        for size in SIZES:
            resize(page, size)
            at = f"{name} {size['width']}"
            found += [f"{at} too small: {one}" for one in page.evaluate(SMALL_TARGETS)]
            # A scheme changes colours, and nothing else that a rule looks at.
            for scheme, rules in (("light", ()), ("dark", COLOURS)):
                page.emulate_media(color_scheme=scheme)
                found += [f"{at} {scheme}: {one}" for one in axe.findings(*rules)]
        for width, type_ in ((320, "100%"), (360, "200%")):
            resize(page, {"width": width, "height": 700})
            page.evaluate("size => (document.documentElement.style.fontSize = size)", type_)
            if (said := page.evaluate(SIDEWAYS)) != [0]:
                found.append(f"{name} scrolls sideways at {width} px and {type_}: {said}")
    assert found == []


def test_what_is_chosen_is_seen_in_forced_colours(screens):
    page, addresses = screens
    page.emulate_media(forced_colors="active")
    settled(page, dict(addresses)["settings"])
    borders = page.evaluate(
        "[true, false].map((on) => getComputedStyle(document.querySelector("
        "`button[aria-pressed=${on}]`)).border + getComputedStyle(document.querySelector("
        "`button[aria-pressed=${on}]`)).fontWeight)"
    )
    page.emulate_media(forced_colors="none")
    assert borders[0] != borders[1]
