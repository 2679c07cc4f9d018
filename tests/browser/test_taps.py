"""A whole class with one thumb: forty-five minutes of logging in at most 65 taps."""

from tests.browser.conftest import sign_in
from tests.browser.on_phone import turns

MOST_TAPS = 65
# A second tap at the same place sooner than this is taken for the echo of the first.
A_BREATH_MS = 400
COUNTED = "addEventListener('click', (event) => { if (event.isTrusted) window.taps++ }, true)"


class Thumb:
    """Taps one thing after another, and counts what the page itself has heard."""

    def __init__(self, page):
        self._page = page

    def tap(self, role, name, *, within=None, exact=True):
        self._page.wait_for_timeout(A_BREATH_MS)
        (within or self._page).get_by_role(role, name=name, exact=exact).first.tap()

    @property
    def taps(self) -> int:
        return self._page.evaluate("window.taps")


def rows_of(page, server, path):
    """What the server has, asked by the page's own session."""
    return page.evaluate(
        "(path) => fetch(path).then((answer) => answer.json()).then(({rows}) => rows)",
        f"/api/v1/{path}",
    )


def test_a_whole_class_in_65_taps(phone, server):
    page = phone
    page.add_init_script("window.taps = 0; " + COUNTED)
    sign_in(page, server)
    lesson = server.world["lesson"]
    before = len(rows_of(page, server, f"lessons/{lesson}/tries?limit=500"))
    page.evaluate("window.taps = 0")  # the evening begins on today's lessons
    thumb = Thumb(page)

    # Who is here: all, then take out the one who is not.
    thumb.tap("link", "Tuesday beginners", exact=False)
    thumb.tap("button", "All here")
    away = page.get_by_role("group", name="Who is here: Rangi")
    thumb.tap("button", "away", within=away)
    page.get_by_text("11 here, 1 away").wait_for()

    # Whole class: one clock, each child as she comes down.
    thumb.tap("link", "Mat")
    thumb.tap("link", "Whole-class hold: Inverted V")
    page.get_by_role("heading", name="Hold: Inverted V").wait_for()
    thumb.tap("button", "Go")
    children = page.locator("ul.grid button")
    for place in range(children.count()):
        children.nth(place).tap()
    thumb.tap("button", "Done")
    page.get_by_text("holds are on this phone").wait_for()
    held = page.get_by_role("group", name="Change:").count()

    # A lift, three groups in turn, nine tries together.
    thumb.tap("link", "Mat")
    thumb.tap("link", "Kneeling on a table", exact=False)
    for outcome in ("clean", "shaky", "clean") * 3:
        group = turns(page).first.get_by_role("group").first
        who = group.get_attribute("aria-label")
        thumb.tap("button", outcome, within=group)
        page.wait_for_function(
            "(who) => document.querySelector('ol [role=group]').ariaLabel !== who", arg=who
        )

    # Two change places.
    thumb.tap("link", "Groups")
    names = page.locator("section[aria-label^=Group] button[aria-pressed]")
    names.nth(0).tap()
    names.nth(2).tap()
    page.get_by_text("have changed places").wait_for()

    # A line of planks, built up: six tries.
    thumb.tap("link", "Mat")
    page.locator("summary", has_text="Lines").tap()
    thumb.tap("link", "Plank line of two", exact=False)
    page.get_by_role("heading", name="Plank line of two").wait_for()
    for _ in range(6):
        group = page.locator("ol [role=group]").first
        who = group.get_attribute("aria-label")
        thumb.tap("button", "shaky", within=group)
        page.wait_for_function(
            "(who) => document.querySelector('ol [role=group]').ariaLabel !== who", arg=who
        )

    # How it went.
    thumb.tap("link", "Mat")
    thumb.tap("link", "Kneeling on a table", exact=False)
    thumb.tap("link", "How it went")
    everybody = page.get_by_role("group", name="Everybody")
    thumb.tap("button", "clean", within=everybody)
    thumb.tap("button", "shaky", within=page.locator("ul [role=group]").first)
    thumb.tap("button", "Write down", exact=False)
    told = page.get_by_text("written: how it went tonight").inner_text()

    # Before you go: one line for next week.
    thumb.tap("link", "Before you go")
    line = page.get_by_role("textbox")
    line.tap()
    line.fill("begin with the lean")
    thumb.tap("button", "Keep", exact=False)
    page.get_by_text("All sent").wait_for()

    taps = thumb.taps
    tries = rows_of(page, server, f"lessons/{lesson}/tries?limit=500")[before:]
    kinds = [(one["skill"], one["weight"]) for one in tries]
    lifts = [one for one in tries if one["skill"] == "kneeling_on_a_table"]
    together = {one["try_id"] for one in lifts if one["weight"] != "summary"}
    assert (held, kinds.count(("inverted_v", "own"))) == (11, 11)
    assert len(together) == 9
    assert kinds.count(("kneeling_on_a_table", "summary")) == int(told.split()[0]) >= 4
    assert sum(skill == "plank_line_of_two" for skill, _ in kinds) == 6
    register = rows_of(page, server, f"lessons/{lesson}/attendance")
    assert [one["name"] for one in register if one["state"] == "away"] == ["Rangi"]
    assert taps <= MOST_TAPS, taps
