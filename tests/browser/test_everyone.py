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


def test_axe_finds_nothing(screens):
    page, addresses = screens
    axe = Axe(page)
    found = []
    for name, path in addresses:
        settled(page, path)
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            for size in SIZES:
                page.set_viewport_size(size)
                found += [f"{name} {scheme} {size['width']}: {one}" for one in axe.findings()]
    assert found == []


def test_all_that_can_be_pressed_is_large_enough(screens):
    page, addresses = screens
    found = []
    for name, path in addresses:
        settled(page, path)
        for size in SIZES:
            page.set_viewport_size(size)
            found += [f"{name} {size['width']}: {one}" for one in page.evaluate(SMALL_TARGETS)]
    assert found == []


@pytest.mark.parametrize("how", ["at 320 px", "at twice the size"])
def test_nothing_scrolls_sideways(screens, how):
    page, addresses = screens
    twice = how == "at twice the size"
    page.set_viewport_size({"width": 360 if twice else 320, "height": 700})
    found = {}
    for name, path in addresses:
        settled(page, path)
        if twice:
            page.evaluate("document.documentElement.style.fontSize = '200%'")
        said = page.evaluate(SIDEWAYS)
        if said != [0]:
            found[name] = said
    assert found == {}


def test_nothing_moves_where_that_is_asked_for(screens):
    page, addresses = screens
    page.emulate_media(reduced_motion="reduce")
    moving = {}
    for name, path in addresses:
        settled(page, path)
        said = page.evaluate(
            "[getComputedStyle(document.documentElement).scrollBehavior,"
            " document.getAnimations().length]"
        )
        if said != ["auto", 0]:
            moving[name] = said
    page.emulate_media(reduced_motion="no-preference")
    assert moving == {}


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
