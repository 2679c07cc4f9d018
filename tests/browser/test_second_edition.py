"""A second edition by hand: one studio takes it on, the other stays, and both are told right."""

from playwright.sync_api import expect

from tests.browser.conftest import sign_in
from tests.browser.two_studios import GOES_ON, HEAD, STAYS, WITH_A_YES

LEAN, FAMILY = "Facing lean to a squat", "Leaning together"
HALF, SQUAT = "Facing lean half way", "Facing lean down to a squat"
STANDS = "goes on: with hands near so far"
MISSING = "missing is the stop word, not tried yet"
HARDER = "Facing lean held straight missing is "  # whatever stands before it
WHY = "the recital comes first"


def fold(page, title, within=None):
    """What folds out under a title, opened."""
    words = page.get_by_text(title, exact=True)
    found = (within or page).get_by_role("group").filter(has=words).last
    found.get_by_text(title, exact=True).click()
    return found


def expect_leans(page, studio, child, said):
    """What tonight's lesson at a studio says of a child's leans, in teaching order."""
    page.goto("/")
    page.get_by_role("link", name=studio).first.click()
    page.get_by_role("link", name=child, exact=True).click()
    expect(fold(page, FAMILY).get_by_role("listitem")).to_contain_text(said)


def test_a_split_that_one_studio_takes_on(laptop, phone, server):
    page = laptop
    sign_in(page, server, HEAD)
    page.get_by_role("link", name="At the desk").click()
    page.get_by_role("link", name="Curriculum").click()
    page.get_by_role("button", name="Begin a draft from edition 1").click()
    page.get_by_text(f"{FAMILY} · 2").click()
    page.get_by_role("link", name=LEAN).click()
    fold(page, "Rename, split, merge, take out")
    split = fold(page, "Split it")
    split.get_by_label("Part 1", exact=True).fill(HALF)
    split.get_by_label("Key of part 1").fill("facing_lean_half_way")
    split.get_by_label("Part 2", exact=True).fill(SQUAT)
    expect(split.get_by_label("Key of part 2")).to_have_value("facing_lean_down_to_a_squat")
    split.get_by_role("button", name="Split it").click()
    expect(page.get_by_role("heading", name=HALF)).to_be_visible()
    page.get_by_label("Clean when").fill("3 of 3, hips stop half way")
    page.get_by_role("button", name="Save this card").click()
    expect(page.get_by_text("Saved", exact=True)).to_be_visible()
    page.get_by_role("link", name="first steps").click()

    # Checks, difference, and what it would change at each studio.
    page.get_by_role("link", name="What it changes, and publishing").click()
    expect(page.get_by_text("No fault was found.")).to_be_visible()
    said = page.get_by_role("main")
    expect(said).to_contain_text(f"{HALF}: carries others on")
    expect(said).to_contain_text(f"each partner now needs {HALF.lower()} with no spot")
    at = fold(page, f"What it would change at {STAYS}")
    expect(at).to_contain_text(f"At {STAYS} nothing changes for anybody.")
    at = fold(page, f"What it would change at {GOES_ON}")
    expect(at).to_contain_text("one child loses a readiness and one yes runs out")
    expect(at).to_contain_text(f"{WITH_A_YES}: the yes of")
    page.get_by_label("To be sure").fill("first steps")
    page.get_by_role("button", name="Publish it").click()
    expect(page.get_by_text("It is published as edition 2.")).to_be_visible()

    page.get_by_role("link", name="To the editions").click()
    at = fold(page, GOES_ON)
    take = fold(page, "Take on an edition", within=at)
    take.get_by_role("button", name="Take it on").click()
    expect(take.get_by_text("Taken on")).to_be_visible()
    at = fold(page, STAYS)
    hold = fold(page, "Hold an edition back", within=at)
    hold.get_by_label("Reason").fill(WHY)
    hold.get_by_role("button", name="Hold it back").click()
    expect(at.get_by_text("is held back since")).to_contain_text(WHY)

    expect_leans(page, STAYS, "Lupe", [f"{LEAN} {STANDS}", HARDER])
    expect_leans(page, GOES_ON, "Bao", [f"{HALF} {STANDS}", f"{SQUAT} {STANDS}", HARDER])
    expect_leans(page, GOES_ON, WITH_A_YES, [f"{HALF} {MISSING}", f"{SQUAT} {MISSING}", HARDER])

    # Taken back with one thumb.
    sign_in(phone, server, HEAD)
    expect_leans(phone, GOES_ON, "Bao", [f"{HALF} {STANDS}", f"{SQUAT} {STANDS}", HARDER])
    phone.goto("/curriculum")
    at = fold(phone, GOES_ON)
    at.get_by_role("button", name="Take it back").click()
    expect(at.get_by_role("button", name="Take it back")).to_have_count(0)
    expect_leans(phone, GOES_ON, "Bao", [f"{LEAN} {STANDS}", HARDER])
    expect_leans(phone, GOES_ON, WITH_A_YES, [f"{LEAN} a teacher has said yes to begin", HARDER])
