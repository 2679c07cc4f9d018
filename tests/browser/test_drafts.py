"""A draft is begun, written on its map, and by two at one card: nothing is lost."""

import re
import subprocess
import sys

from playwright.sync_api import expect

from tests.browser.conftest import sign_in
from tests.browser.server import ROOT
from tests.browser.world import HEAD

HERS, EMAIL = "Eun H.", "eun@plover.example"


def test_a_card_is_written_on_the_map(phones, server):
    page = phones()
    page.set_viewport_size({"width": 1280, "height": 800})
    sign_in(page, server, HEAD)
    page.goto(f"/curriculum/drafts/{server.world['draft']}/map")
    page.get_by_role("option", name="Belly-up table.").click()
    page.get_by_text("Write it here").click()
    page.get_by_text("Roles and what they need").click()
    page.get_by_role("button", name="Add a skill").click()
    page.get_by_label("Skill", exact=True).select_option("Standing tight")
    page.get_by_role("button", name="Save this card").click()
    expect(page.get_by_text("Saved", exact=True)).to_be_visible()
    # It stands where it belongs now, and is still the one that is written.
    card = page.get_by_role("option", name="Belly-up table.")
    expect(card).to_have_accessible_name(re.compile("changed.*Needs standing tight", re.I))
    expect(card).to_be_in_viewport()


def test_a_school_with_nothing_begins_its_curriculum(laptop, server):
    school = "Plover Lane"
    server.run("manage.py", "new_school", school, "--head", HERS)
    argv = ("--school", school, "--member", HERS, "--email", EMAIL)
    subprocess.run(
        [sys.executable, "manage.py", "sign_in", *argv],
        cwd=ROOT,
        env=server.env,
        input=server.world["password"],
        text=True,
        check=True,
        capture_output=True,
    )
    page = laptop
    server.world["emails"][HERS] = EMAIL
    sign_in(page, server, HERS)
    page.goto("/curriculum")
    page.get_by_text("Begin a draft with its first card").click()
    begin = page.get_by_role("button", name="Begin it")
    begin.click()
    expect(page.get_by_text("should not be empty")).to_have_count(4)
    page.get_by_label("Name of the curriculum").fill("first steps")
    # No letter of it could stand in a key.
    page.get_by_label("First family of skills").fill("きほん")
    page.get_by_label("First skill").fill("Standing tight")
    page.get_by_label("Clean when").fill("10 s, does not fold")
    begin.click()
    expect(page.get_by_role("heading", name="first steps")).to_be_visible()
    expect(page.get_by_text("No fault was found.")).to_be_visible()
    page.get_by_text("きほん · 1").click()
    page.get_by_role("link", name="Standing tight").click()
    expect(page.get_by_label("Clean when")).to_have_value("10 s, does not fold")


def test_what_is_not_saved_is_told_before_it_is_published(laptop, server):
    page = laptop
    sign_in(page, server, HEAD)
    draft = f"/curriculum/drafts/{server.world['draft']}"
    page.goto(f"{draft}/cards/chair_hold")
    page.get_by_label("Clean when").fill("half a minute")
    told = page.get_by_text("not saved and so not in the draft")
    page.get_by_role("link", name="← ").click()
    expect(told).to_contain_text("Chair hold")
    page.get_by_role("link", name="What it changes, and publishing").click()
    expect(page.get_by_role("button", name="Publish it")).to_be_visible()
    told.get_by_role("link", name="Chair hold").click()
    expect(page.get_by_label("Clean when")).to_have_value("half a minute")
    page.get_by_role("button", name="Give up what is not saved").click()
    page.get_by_role("link", name="← ").click()
    expect(page.get_by_text("No fault was found.")).to_be_visible()
    expect(told).to_have_count(0)


def test_two_at_one_card(phones, server):
    first, second = phones(), phones()
    card = f"/curriculum/drafts/{server.world['draft']}/cards/front_plank"
    for page in (first, second):
        sign_in(page, server, HEAD)
        page.goto(card)
        expect(page.get_by_text("Checked: no fault.")).to_be_visible()

    # What is wrong stands at its field while she types.
    clean = first.get_by_label("Clean when")
    clean.fill("")
    expect(clean).to_have_attribute("aria-invalid", "true")
    clean.fill("20 s, heels to head in one line")
    expect(first.get_by_text("Checked: no fault.")).to_be_visible()
    # So it is with the picture, which is drawn meanwhile.
    first.get_by_text("Picture", exact=True).click()
    first.get_by_text("How it is bent").click()
    knees = first.get_by_label("Knees")
    knees.fill("170")
    expect(knees).to_have_attribute("aria-invalid", "true")
    knees.fill("10 / 0")
    expect(first.get_by_role("img", name="Front plank on the hands")).to_be_visible()
    first.get_by_role("button", name="Save this card").click()
    expect(first.get_by_text("Saved", exact=True)).to_be_visible()

    second.get_by_label("Clean when").fill("25 s, one straight line")
    second.get_by_label("Name").fill("Plank on the hands")
    second.get_by_role("button", name="Save this card").click()
    expect(second.get_by_role("heading", name="Somebody else has changed")).to_be_visible()
    both = second.locator("dd")
    expect(both.filter(has_text="25 s, one straight line")).to_be_visible()
    expect(both.filter(has_text="20 s, heels to head")).to_be_visible()
    take = second.get_by_role("button", name="Take this one")
    take.filter(has_text="Clean when").click()
    second.get_by_role("button", name="Save mine in its place").click()
    expect(second.get_by_text("Saved", exact=True)).to_be_visible()

    # What carries on what is written beside the cards.
    second.goto(f"/curriculum/drafts/{server.world['draft']}")
    second.get_by_text("Name, note, families").click()
    second.get_by_text("What carries on what", exact=True).click()
    second.get_by_role("button", name="A further one").click()
    second.get_by_role("button", name="Save").click()
    carried = second.get_by_label("Carried on", exact=True).last
    expect(carried).to_have_attribute("aria-invalid", "true")
    carried.select_option("hollow_hold")
    second.get_by_label("Carried on by").last.select_option("front_plank")
    second.get_by_role("button", name="Save").click()
    expect(second.get_by_text("Saved", exact=True)).to_be_visible()

    # It says so before it is published.
    second.goto(f"/curriculum/drafts/{server.world['draft']}/publishing")
    said = second.get_by_role("main")
    expect(said).to_contain_text("renamed from “Front plank on the hands” to “Plank on the hands”")
    expect(said).to_contain_text("20 s, heels to head in one line")
    expect(said).to_contain_text("tries of “Hollow hold on the back” count for it")
    publish = second.get_by_role("button", name="Publish it")
    publish.click()
    expect(second.get_by_text("This is not its name.")).to_be_visible()
    second.get_by_label("To be sure").fill("curriculum, winter 2026")
    publish.click()
    expect(second.get_by_text("It is published as edition 3.")).to_be_visible()
