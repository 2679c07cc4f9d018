"""Beliefs as a cache: what is called fresh is what the log comes to, whoever came between."""

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError, transaction

from classes import attempts, replay
from classes.attempts import AttemptRow
from classes.models import Attempt, Belief, Replay
from engine.readiness import chain
from engine.readiness.parameters import DEFAULTS
from engine.readiness.register import Row
from tests.classes import fact_school
from tests.classes.fact_school import SCHOOL, FactSchool, strangers
from tests.once import once

TUESDAY = date(2026, 3, 3)
RECEIVED = datetime(2026, 3, 10, 12, 0, tzinfo=UTC)


built, school = once(fact_school.build)


def row(school: FactSchool, name: str = "Amara", *, skill: str = "table", **changes) -> AttemptRow:
    """A try of a child in a lesson, as it is frozen when it is logged."""
    lesson = school.lesson(TUESDAY)
    values = {
        "id": uuid4(),
        "attempt": uuid4(),
        "revision": 1,
        "student_id": school.children[name],
        "skill_id": school.skills[skill],
        "role": "solo",
        "spot": "none",
        "outcome": "clean",
        "measure": None,
        "weight": "own",
        "try_id": uuid4(),
        "way_in": "",
        "way_out": "",
        "surface": "",
        "lesson_id": lesson.id,
        "edition_id": None,
        "member_id": school.teacher.member_id,
        "happened_at": lesson.starts_at + timedelta(minutes=5),
        "clock_offset_ms": 0,
        "local_date": TUESDAY,
    }
    return AttemptRow(**(values | changes))


def log(school, *rows):
    answers = attempts.store(school.assistant, rows=rows, received_at=RECEIVED)
    assert {answer.status for answer in answers} == {attempts.STORED}


def beliefs(school, name="Amara"):
    ids = {school.children[name]}
    return replay.beliefs(school.teacher, student_ids=ids)[school.children[name]]


def worked_out(*rows):
    """What the engine makes of these rows, with nothing of the database between."""
    return chain.replay(
        (
            Row(
                id=str(one.id),
                attempt=str(one.attempt),
                revision=one.revision,
                happened_at=one.happened_at,
                date=one.local_date,
                spot=one.spot,
                outcome=one.outcome,
                chain=one.role,
            )
            for one in rows
        ),
        DEFAULTS,
    )


def versions(school, name="Amara"):
    found = Replay.objects.get(student_id=school.children[name])
    return found.log_version, found.done_version


def test_a_child_who_cannot_be_replayed_stops_nobody(school, monkeypatch, caplog):
    log(school, *(row(school, name) for name in ("Amara", "Bao", "Hana")))
    ids = sorted(school.children[name] for name in ("Amara", "Bao", "Hana"))

    def replayed(scope, *, student_ids, really=replay.replayed):
        if ids[0] in student_ids:
            raise ZeroDivisionError("Amara is 9")
        return really(scope, student_ids=student_ids)

    with monkeypatch.context() as patched:
        patched.setattr(replay, "replayed", replayed)
        with pytest.raises(replay.NotRefreshed, match=r"^1 of 3 children$"):
            replay.refresh(school.teacher)
        asked = {"school": SCHOOL, "member": "Tendai R."}
        with pytest.raises(CommandError, match="not brought up to date: 1 of 1 children"):
            call_command("replay", **asked)
    # By her id and the class of the error: what an error says may hold a name.
    assert caplog.messages == [f"not refreshed: {ids[0]}, ZeroDivisionError"] * 2
    assert replay.stale(school.teacher) == (ids[0],)
    assert replay.refresh(school.teacher) == 1


def test_a_database_that_is_away_is_away_for_all(school, monkeypatch, caplog):
    log(school, row(school, "Amara"), row(school, "Bao"))
    called = []

    def put(scope, **asked):
        called.append(asked)
        raise OperationalError

    monkeypatch.setattr(replay, "put", put)
    with pytest.raises(OperationalError):
        replay.refresh(school.teacher)
    assert (len(called), caplog.messages) == (1, [])


def test_a_stale_child_is_replayed_when_read(school):
    one = row(school)
    log(school, one)
    assert not Belief.objects.exists()
    assert beliefs(school) == {("table", "solo"): worked_out(one)["solo"]}
    assert versions(school) == (1, 0)


def test_a_refreshed_child_is_read_from_the_cache_to_the_last_digit(school):
    rows = [
        row(
            school,
            outcome=outcome,
            happened_at=school.lesson(TUESDAY).starts_at + timedelta(seconds=17, microseconds=n),
        )
        for n, outcome in enumerate(("shaky", "clean", "not_there", "clean"))
    ]
    log(school, *rows)
    assert replay.refresh(school.assistant) == 1
    assert versions(school) == (1, 1)
    kept = beliefs(school)["table", "solo"]
    assert kept == worked_out(*rows)["solo"]
    Belief.objects.update(counted=9)
    assert beliefs(school)["table", "solo"] == replace(kept, counted=9)


def test_only_stale_children_are_brought_up_to_date(school):
    log(school, row(school, "Amara"), row(school, "Bao"), row(school, "Hana"))
    ids = {school.children["Amara"], school.children["Mireille"]}
    assert replay.refresh(school.teacher, student_ids=ids) == 1
    assert replay.refresh(school.teacher) == 2
    assert replay.refresh(school.teacher) == 0
    log(school, row(school, "Bao"))
    assert replay.refresh(school.teacher) == 1


def test_a_child_of_whom_nothing_is_logged_has_no_beliefs(school):
    assert beliefs(school) == {}
    assert replay.refresh(school.teacher) == 0


def test_a_chain_that_has_no_try_any_more_is_forgotten(school):
    one = row(school)
    log(school, one)
    replay.refresh(school.teacher)
    log(school, replace(one, id=uuid4(), revision=2, outcome="removed"))
    assert beliefs(school) == {}
    replay.refresh(school.teacher)
    assert beliefs(school) == {}
    assert not Belief.objects.exists()


def test_a_try_that_moves_to_another_child_leaves_the_first(school):
    one = row(school, "Amara")
    log(school, one, row(school, "Hana"))
    replay.refresh(school.teacher)
    log(school, replace(one, id=uuid4(), revision=2, student_id=school.children["Bao"]))
    assert [versions(school, name) for name in ("Amara", "Bao", "Hana")] == [(2, 1), (1, 0), (1, 1)]
    for _ in ("in memory", "from the cache"):
        assert beliefs(school, "Amara") == {}
        assert beliefs(school, "Bao") == {("table", "solo"): worked_out(one)["solo"]}
        replay.refresh(school.teacher)


def test_other_studios_and_schools_see_and_do_nothing(school):
    log(school, row(school))
    ids = school.ids
    for stranger in strangers(school):
        assert replay.beliefs(stranger, student_ids=ids) == {}
        assert replay.refresh(stranger) == 0
        assert replay.refresh(stranger, student_ids=ids) == 0
        assert replay.check(stranger).children in (0, len(ids))
    assert versions(school) == (1, 0)


def test_an_overtaken_worker_changes_nothing(school):
    log(school, row(school, outcome="not_there"))
    amara = school.children["Amara"]
    slow = replay.log_version(school.teacher, student_id=amara)
    old = replay.replayed(school.teacher, student_ids={amara})[amara]
    log(school, row(school, outcome="clean"))
    assert replay.refresh(school.teacher) == 1
    assert not replay.put(school.teacher, student_id=amara, version=slow, found=old)
    assert beliefs(school)["table", "solo"].counted == 2
    assert versions(school) == (2, 2)


def test_the_same_version_is_stored_once(school):
    log(school, row(school))
    amara = school.children["Amara"]
    found = replay.replayed(school.teacher, student_ids={amara})[amara]
    assert replay.put(school.teacher, student_id=amara, version=1, found=found)
    assert not replay.put(school.teacher, student_id=amara, version=1, found={})
    assert beliefs(school) == found


# -- the check ---------------------------------------------------------------------------------


def differences(school):
    return [
        (one.student_id, one.skill, one.role, one.kept, one.replayed)
        for one in replay.check(school.teacher).differences
    ]


def test_nothing_differs_after_a_refresh(school):
    log(school, row(school), row(school, "Bao", outcome="shaky"))
    replay.refresh(school.teacher)
    checked = replay.check(school.teacher)
    assert (checked.children, checked.stale, checked.differences) == (7, 0, ())


def test_a_stale_child_is_counted_and_not_compared(school):
    log(school, row(school))
    replay.refresh(school.teacher)
    Belief.objects.update(counted=9)
    log(school, row(school))
    checked = replay.check(school.teacher)
    assert (checked.children, checked.stale, checked.differences) == (6, 1, ())


def test_one_digit_is_a_difference(school):
    log(school, row(school))
    replay.refresh(school.teacher)
    right = beliefs(school)["table", "solo"]
    kept = Belief.objects.get()
    kept.state = [*kept.state[:3], kept.state[3] + 1e-16]
    Belief.objects.update(state=kept.state)
    wrong = replace(right, state=tuple(kept.state))
    assert wrong != right
    assert differences(school) == [(school.children["Amara"], "table", "solo", wrong, right)]


def test_a_belief_too_few_and_one_too_many_are_differences(school):
    log(school, row(school), row(school, "Bao"))
    replay.refresh(school.teacher)
    right = beliefs(school)["table", "solo"]
    Belief.objects.filter(student_id=school.children["Amara"]).update(role="base")
    amara = school.children["Amara"]
    assert differences(school) == [
        (amara, "table", "base", right, None),
        (amara, "table", "solo", None, right),
    ]


def run(*args):
    out = io.StringIO()
    call_command("replay", *args, school=SCHOOL, member="Tendai R.", stdout=out)
    return out.getvalue()


def test_the_command(school):
    log(school, row(school))
    assert run("--check") == "6 children compared, 1 to be brought up to date\n"
    assert run() == "1 child brought up to date\n"
    assert run() == "0 children brought up to date\n"
    assert run("--check") == "7 children compared, 0 to be brought up to date\n"
    Belief.objects.update(days=5)
    with pytest.raises(CommandError) as caught:
        run("--check")
    assert caught.value.returncode == 1
    assert str(caught.value).startswith(f"{school.children['Amara']} table solo: kept Belief(")


# -- two writers and two workers in every order ------------------------------------------------


class Writer:
    """Logs one more try of Amara's."""

    def __init__(self, school: FactSchool, outcome: str) -> None:
        self.school, self.row = school, row(school, outcome=outcome)

    def write(self) -> None:
        log(self.school, self.row)


class Worker:
    """One refresh of Amara's beliefs, cut where another may come between."""

    def __init__(self, school: FactSchool) -> None:
        self.scope, self.id = school.teacher, school.children["Amara"]
        self.version, self.found = None, None

    def counter(self) -> None:
        self.version = replay.log_version(self.scope, student_id=self.id)

    def read(self) -> None:
        self.found = replay.replayed(self.scope, student_ids={self.id})[self.id]

    def keep(self) -> None:
        replay.put(self.scope, student_id=self.id, version=self.version, found=self.found)


class EveryOrder:
    """All orders in which tries, of these outcomes, and two refreshes of a child can take steps.

    `counts` are how many there are, and how many end with a wrong belief that is called fresh,
    also after whoever is stale was brought up to date.
    """

    def __init__(self, school: FactSchool, steps: str, *outcomes: str) -> None:
        self.scope = school.teacher
        self.workers = Worker(school), Worker(school)
        self.known: dict[object, tuple[int, int]] = {}
        writers = (Writer(school, outcome) for outcome in outcomes)
        self.counts = self._from(
            *((writer.write,) for writer in writers),
            *(tuple(getattr(worker, step) for step in steps.split()) for worker in self.workers),
        )

    def _from(self, *left: tuple[Callable[[], None], ...]) -> tuple[int, int]:
        if not any(left):
            return 1, self._wrong_for_ever()
        # What follows depends on nothing else, and not on which worker is which, so orders that
        # have come to the same go on as one.
        *writers, one, other = map(len, left)
        here = [writers]
        here += [sorted(model.objects.values_list()) for model in (Attempt, Replay, Belief)]
        here += sorted(
            repr((steps, worker.version, worker.found))
            for steps, worker in zip((one, other), self.workers, strict=True)
        )
        key = repr(here)
        if key not in self.known:
            orders = wrong = 0
            for index, steps in enumerate(left):
                if steps:
                    before = transaction.savepoint()
                    memory = [(worker.version, worker.found) for worker in self.workers]
                    steps[0]()
                    more = self._from(*left[:index], steps[1:], *left[index + 1 :])
                    orders, wrong = orders + more[0], wrong + more[1]
                    transaction.savepoint_rollback(before)
                    for worker, (version, found) in zip(self.workers, memory, strict=True):
                        worker.version, worker.found = version, found
            self.known[key] = orders, wrong
        return self.known[key]

    def _wrong_for_ever(self) -> bool:
        replay.refresh(self.scope)
        checked = replay.check(self.scope)
        assert checked.stale == 0
        return bool(checked.differences)


def test_in_no_order_is_a_belief_wrong_for_ever(school):
    assert EveryOrder(school, "counter read keep", "clean", "not_there").counts == (1120, 0)


def test_reading_the_log_before_the_counter_would_leave_some(school):
    assert EveryOrder(school, "read counter keep", "clean").counts == (140, 50)
