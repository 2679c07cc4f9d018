"""200 tries with no signal, a browser that dies, a server that lies: each arrives once."""

from collections import Counter
from uuid import UUID

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import sign_in
from tests.browser.killable import Killable
from tests.browser.on_phone import (
    keep_lesson,
    line,
    on_disk,
    open_rows,
    open_station,
    send_in_vain,
    send_now,
    sign_in_again,
    signal_again,
    tap_next,
    tries,
    wait_for_line,
)

WHO = "Tendai R."
ALONE, TOGETHER = "standing_tight", "kneeling_on_a_table"
BEFORE, ALL = 100, 200
A_BATCH = 50
# What a server says without settling anything; of what it has done it says nothing.
MODES = ("500", "commit_then_hang", "commit_then_500", "html", "refuse")


@pytest.fixture
def phone(playwright, server):
    one = Killable(playwright, server)
    one.start()
    yield one
    server.fail("")
    one.close()


def stored(server):
    """Every revision on the server, however often it is there."""
    found = server.ask("SELECT id, student_id, outcome, member_id FROM attempt")
    return [(UUID(id_), str(UUID(child)), said, UUID(who)) for id_, child, said, who in found]


def log(page, server, until, done):
    """Taps until so many tries are told to be on this phone; `done` grows by what was told."""
    outcomes = ("not there", "clean", "shaky")
    while done.total() < until:
        rows = tap_next(page, server, outcomes[done.total() % 3])
        wait_for_line(page, f"{tries(done.total() + len(rows))} on this phone since")
        done.update(rows)


def entered(rows):
    return Counter((row["body"]["student"], row["body"]["outcome"]) for row in rows)


def states(page, member):
    return Counter(row["state"] for row in on_disk(page, member))


@pytest.mark.parametrize("modes", [("500", "hang", *MODES[1:]), MODES, MODES], ids=["1", "2", "3"])
def test_each_of_200_tries_is_on_the_server_once(phone, server, modes):
    member = server.world["members"][WHO]
    before = stored(server)

    def new():
        return Counter(stored(server)) - Counter(before)

    sign_in(phone.page, server, WHO, stay=False)
    keep_lesson(phone.page, server, member)

    server.stop()
    open_station(phone.page, server, ALONE)
    done = Counter()
    log(phone.page, server, BEFORE, done)
    # Nobody was told of the last one: it may be there or not.
    untold = Counter(tap_next(phone.page, server, "clean"))
    phone.kill()

    phone.start()
    # What a browser has not written of its cookies for half a minute it loses: here, surely.
    phone.page.context.clear_cookies()
    open_station(phone.page, server, TOGETHER)
    kept = entered(on_disk(phone.page, member))
    assert kept in (done, done + untold)
    done = kept
    wait_for_line(phone.page, f"{tries(done.total())} on this phone since")
    log(phone.page, server, ALL, done)

    # Entering goes on, sending waits for her.
    server.start()
    signal_again(phone.page)
    wait_for_line(phone.page, f"{tries(done.total())} not sent: sign in again")
    done.update(tap_next(phone.page, server, "clean"))
    wait_for_line(phone.page, f"{tries(done.total())} not sent: sign in again")

    server.fail(modes[0])
    expect(sign_in_again(phone.page, server, WHO)).to_be_hidden()
    open_rows(phone.page)
    there = 0
    for mode in modes:
        server.fail(mode)
        there = A_BATCH if mode.startswith("commit") else there
        if mode.endswith("hang"):
            send_in_vain(phone.page, lambda there=there: new().total() == there)
        else:
            send_now(phone.page)
        assert states(phone.page, member) == {"waiting": done.total()}, mode
        assert new().total() == there, mode
    server.fail("skip_last")
    send_now(phone.page)
    assert states(phone.page, member) == {"waiting": 1, "stored": done.total() - 1}
    server.fail("")
    send_now(phone.page)
    expect(line(phone.page)).to_have_text("All sent")

    disk = on_disk(phone.page, member)
    assert {row["state"] for row in disk} == {"stored"}
    assert new() == Counter(
        (UUID(row["id"]), row["body"]["student"], row["body"]["outcome"], UUID(member))
        for row in disk
    )
    assert entered(disk) == done
