"""At the desk: staff comes and goes, and no form loses what was written."""

from uuid import uuid4

from playwright.sync_api import expect

from tests.browser.conftest import sign_in
from tests.browser.world import HEAD, TEACHER

ASKED = "() => fetch('/api/v1/me').then((answer) => answer.status)"
PASSWORD = "nine slow otters drift"  # noqa: S105, of a school that lasts as long as this test


def test_whose_access_is_taken_away_is_refused_at_once(phones, server):
    head, hers = phones(), phones()
    sign_in(head, server, HEAD)
    head.goto("/staff")
    head.get_by_text("Take somebody on").click()
    head.get_by_label("Name").fill("Nell Q.")
    make = head.get_by_role("button", name="Take her on and make her link")
    make.click()
    expect(head.get_by_text("missing: at which studios")).to_be_visible()
    head.get_by_label("Sellane Harbour").check()
    make.click()
    link = head.get_by_label("Link for Nell Q.")

    hers.goto(link.input_value())
    hers.get_by_label("Email").fill("nell@orrowmere.example")
    hers.get_by_label("Password").fill(PASSWORD)
    hers.get_by_role("button", name="Use the invitation").click()
    expect(hers.get_by_role("heading", name="Today")).to_be_visible()
    assert hers.evaluate(ASKED) == 200

    head.get_by_role("link", name="Nell Q.").click()
    head.get_by_text("Take her access away").click()
    revoke = head.get_by_role("button", name="Take it away")
    revoke.click()
    expect(head.get_by_text("This is not her name.")).to_be_visible()
    assert hers.evaluate(ASKED) == 200
    head.get_by_label("To be sure").fill("nell q.")
    revoke.click()
    expect(head.get_by_text("taken away on")).to_be_visible()
    # What she pressed is gone: she goes on at the heading.
    expect(head.get_by_role("heading", name="Nell Q.")).to_be_focused()
    assert hers.evaluate(ASKED) == 401


def test_what_was_written_stays_until_it_is_taken(phone, server):
    page = phone
    sign_in(page, server, TEACHER)
    page.goto(f"/classes/{server.world['klass']}/children")
    page.get_by_text("Somebody new").click()
    name, height = page.get_by_label("Given name"), page.get_by_label("Height (cm)")
    name.fill("Ilse")
    height.fill("12,5")
    add = page.get_by_role("button", name="Add her")
    add.click()
    # The server says what is missing, at its field.
    year = page.get_by_label("Year of birth")
    expect(year).to_have_attribute("aria-invalid", "true")
    year.fill("2017")
    page.get_by_label("Month of birth").select_option(label="March")

    server.stop()
    add.click()
    expect(page.get_by_text("NOT saved. Nobody answered")).to_be_visible()
    expect(name).to_have_value("Ilse")
    server.start()
    add.click()
    question = page.get_by_text("is the decimal point misplaced (125.0 cm)?")
    expect(question).to_be_visible()
    height.fill("125")
    add.click()
    page.get_by_role("link", name="Ilse").click()
    expect(page.get_by_role("heading", name="Ilse")).to_be_visible()
    expect(page.get_by_text("125 cm")).to_be_visible()
    expect(page.get_by_text("Mass")).to_have_count(0)


def test_a_file_is_tried_before_it_is_loaded(phone, server):
    page = phone
    sign_in(page, server, TEACHER)
    page.goto("/files")
    expect(page.get_by_text("Studios, terms")).to_have_count(0)  # a head teacher's
    page.get_by_text("Children of a class").click()
    form = page.locator("details[open]")

    def choose(*rows):
        content = "\n".join(("name,birth,height_cm", *rows)).encode()
        form.get_by_label("File").set_input_files(
            {"name": "list.csv", "mimeType": "text/csv", "buffer": content}
        )

    def there():
        return server.ask("SELECT count(*) FROM identity WHERE given_name = ?", "Wilhelmina")

    attempt = form.get_by_role("button", name="Try it")
    choose("Wilhelmina,2017-13,")
    attempt.click()
    expect(form.get_by_text("Choose the class first.")).to_be_visible()
    form.get_by_label("Class").select_option(label="Tuesday beginners")
    attempt.click()
    expect(form.get_by_text("row 2, column “birth”")).to_be_visible()
    choose("Wilhelmina,2017-05,12.5")
    attempt.click()
    expect(form.get_by_text("If it is as meant, confirm row 2.")).to_be_visible()
    choose("Wilhelmina,2017-05,125")
    attempt.click()
    expect(form.get_by_text("1 new")).to_be_visible()
    expect(form.get_by_text("nothing is loaded yet")).to_be_visible()
    assert there() == [(0,)]
    form.get_by_role("button", name="Load it").click()
    expect(form.get_by_text("Loaded", exact=True)).to_be_visible()
    assert there() == [(1,)]
    choose("Wilhelmina,2017-05,125")
    attempt.click()
    expect(form.get_by_text("1 stands already")).to_be_visible()


def test_a_class_ends_and_that_is_taken_back(phone, server):
    page = phone
    sign_in(page, server, HEAD)
    page.goto(f"/classes/{server.world['klass']}")
    page.get_by_text("End this class").click()
    last, end = page.get_by_label("Last day"), page.get_by_role("button", name="Set its last day")
    last.fill("2020-01-01")
    end.click()
    expect(page.get_by_text("2020-01-01 is over: today, or a day to come")).to_be_visible()
    last.fill(server.world["on"])
    end.click()
    expect(page.get_by_text("does not meet: the places in it end")).to_be_visible()
    fact = page.get_by_role("term").filter(has_text="Last day")
    expect(fact).to_have_count(0)
    page.get_by_role("button", name="It is as meant").click()
    expect(fact).to_be_visible()
    last.fill("")
    end.click()
    expect(fact).to_have_count(0)


def test_a_term_entered_by_mistake_is_taken_out(laptop, server):
    page = laptop
    sign_in(page, server, HEAD)
    page.goto("/school")
    page.get_by_text("A further term").click()
    form = page.locator("details[open]")
    save = form.get_by_role("button", name="Save")
    save.click()
    expect(form.get_by_text("Fill this in.")).to_have_count(3)
    form.get_by_label("Name").fill("by mistake")
    form.get_by_label("First day").fill("2040-01-09")
    form.get_by_label("Last day").fill("2040-03-30")
    save.click()
    term = page.get_by_text("by mistake: 9 January 2040 to 30 March 2040")
    term.click()
    page.get_by_role("button", name="Take it out again").click()
    expect(term).to_have_count(0)
    expect(page.get_by_role("heading", name="Terms")).to_be_focused()


def test_held_tries_are_admitted_or_thrown_away(phone, server):
    page = phone
    world = server.world
    head = {"Authorization": f"Token {world['tokens']['Marit O.']}"}
    sheet = page.request.get(f"/api/v1/lessons/{world['lesson']}/sheet", headers=head).json()
    (skill,) = [card["skill_id"] for card in sheet["cards"] if card["skill"] == "front_plank"]
    row = {
        "revision": 1,
        "skill_id": skill,
        "role": "solo",
        "spot": "none",
        "outcome": "clean",
        "weight": "own",
        "class": world["class"],
        "local_date": world["on"],
        "happened_at": f"{world['on']}T00:00:00Z",
        "clock_offset_ms": 0,
    }
    ids = {name: str(uuid4()) for name in ("Amara", "Bao", "Hana")}
    rows = [
        row | {"id": one, "attempt": one, "try_id": one, "student": world["children"][name]}
        for name, one in ids.items()
    ]
    said = {"member": world["members"]["Tendai R."], "rows": rows}
    page.request.post("/api/v1/attempts/rescue", headers=head, data=said)

    def logged():
        found = server.ask(
            "SELECT id FROM attempt WHERE id IN (?, ?, ?)",
            *(one.replace("-", "") for one in ids.values()),
        )
        return {one for (one,) in found}

    sign_in(page, server, HEAD)
    page.goto("/held")
    expect(page.get_by_role("heading", name="Logged by Tendai R.")).to_be_visible()
    page.get_by_role("button", name=": Bao, ").click()
    page.get_by_role("button", name="Throw it away").click()
    expect(page.get_by_text("Thrown away")).to_be_visible()
    expect(page.get_by_role("rowheader", name="Bao")).to_have_count(0)
    assert logged() == set()
    page.get_by_role("button", name="Admit all 2").click()
    expect(page.get_by_text("2 tries admitted")).to_be_visible()
    expect(page.get_by_text("No try waits for you.")).to_be_visible()
    assert logged() == {ids[name].replace("-", "") for name in ("Amara", "Hana")}
