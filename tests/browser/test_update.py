"""A newer client comes while rows wait: it is used when somebody says so, and it sends them."""

from playwright.sync_api import expect

from tests.browser.conftest import sign_in
from tests.browser.on_phone import (
    keep_lesson,
    line,
    on_disk,
    open_rows,
    open_station,
    send_now,
    tap_next,
    tries,
    wait_for_line,
)

WHO = "Tendai R."
SKILL = "standing_tight"


def bring_newer(server):
    """The same client as another build: under another name, with another worker."""
    (script,) = (server.built / "assets").glob("index-*.js")
    newer = script.with_name("index-newer.js")
    newer.write_text(script.read_text("utf-8") + "\nwindow.newer = true\n", "utf-8")
    for name in ("index.html", "sw.js"):
        file = server.built / name
        said = file.read_text("utf-8").replace(script.name, newer.name)
        file.write_text(said.replace("shell-", "shell-newer-"), "utf-8")
    script.unlink()
    for packed in server.built.rglob("*.gz"):
        packed.unlink()


def is_newer(page):
    return page.evaluate("() => window.newer === true")


def test_rows_wait_for_the_newer_client_too(phone, server):
    member = server.world["members"][WHO]
    sign_in(phone, server, WHO)
    keep_lesson(phone, server, member)
    server.stop()
    open_station(phone, server, SKILL)
    for count in (1, 2, 3):
        tap_next(phone, server, ("clean", "shaky", "not there")[count % 3])
        wait_for_line(phone, f"{tries(count)} on this phone")
    rows = on_disk(phone, member)

    bring_newer(server)
    server.fail("500")
    server.start()
    phone.reload()
    expect(phone.get_by_text("A newer version is here.")).to_be_visible()
    phone.reload()
    expect(phone.get_by_text("A newer version is here.")).to_be_visible()
    assert not is_newer(phone)

    # A person looks before she taps: by then the page has fetched what is for later.
    phone.wait_for_load_state("networkidle")
    with phone.expect_navigation():
        phone.get_by_role("button", name="Use it now").click()
    wait_for_line(phone, f"{tries(3)} on this phone")
    expect(phone.get_by_text("A newer version is here.")).to_be_hidden()
    assert is_newer(phone)
    assert on_disk(phone, member) == rows

    server.fail("")
    open_rows(phone)
    send_now(phone)
    expect(line(phone)).to_have_text("All sent")
    assert [row["state"] for row in on_disk(phone, member)] == ["stored"] * 3
    stored = {id_ for (id_,) in server.ask("SELECT id FROM attempt")}
    assert {row["id"].replace("-", "") for row in rows} <= stored
