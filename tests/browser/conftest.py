"""Real Chromium on the built client and a real server: `make browser`, and not `make test`."""

import os
from contextlib import ExitStack

import pytest

from tests.browser.server import BUILT, ROOT, Server
from tests.browser.watch import Watch
from tests.chromium import FLAGS, installed

HERE = ROOT / "tests" / "browser"
PHONE = {"width": 360, "height": 780}
LAPTOP = {"width": 1280, "height": 800}
PATIENCE_MS = 60_000


def pytest_collection_modifyitems(items):
    reason = ""
    if not os.environ.get("BROWSER"):
        reason = "a real browser: with `make browser`"
    elif not (BUILT / "index.html").exists() or not installed():
        raise pytest.UsageError("the browser tests need `make web` and chromium")
    for item in items:
        if reason and item.path.is_relative_to(HERE):
            item.add_marker(pytest.mark.skip(reason=reason))


@pytest.fixture(scope="session")
def first():
    """Filled once; every module's server begins as it did."""
    one = Server()
    yield one
    one.close()


@pytest.fixture(scope="module")
def server(first):
    one = Server(like=first)
    try:
        one.start()
        yield one
    finally:
        one.close()


@pytest.fixture(scope="session")
def playwright():
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def chromium(playwright):
    browser = playwright.chromium.launch(executable_path=installed(), args=list(FLAGS))
    yield browser
    browser.close()


@pytest.fixture
def phones(chromium, server):
    """Makes pages on phones of their own, nobody signed in, each watched until the test ends."""
    with ExitStack() as made:

        def another():
            context = chromium.new_context(
                base_url=server.url, viewport=PHONE, has_touch=True, is_mobile=True, locale="en-GB"
            )
            context.set_default_timeout(PATIENCE_MS)
            made.callback(context.close)
            made.callback(Watch(context, server).check)
            return context.new_page()

        yield another


@pytest.fixture
def phone(phones):
    return phones()


@pytest.fixture
def laptop(chromium, server):
    context = chromium.new_context(base_url=server.url, viewport=LAPTOP, locale="en-GB")
    context.set_default_timeout(PATIENCE_MS)
    watch = Watch(context, server)
    yield context.new_page()
    watch.check()
    context.close()


def sign_in(page, server, name="Tendai R.", *, stay=True):
    """As a person does it; ends on today's lessons."""
    page.goto(f"{server.url}/sign-in")
    page.get_by_label("Email").fill(server.world["emails"][name])
    page.get_by_label("Password", exact=True).fill(server.world["password"])
    if stay:
        page.get_by_label("Stay signed in").check()
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="Today").wait_for()
