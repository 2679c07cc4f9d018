"""Five thousand tries from ten phones while each process is killed in turn: none lost, none twice.

A phone takes a row out of its queue only when it is told that the row is stored; a cut connection
or a 503 means nothing, and it sends again.
"""

import http.client
import json
import re
import threading
import time
from collections import Counter
from datetime import UTC, datetime, timedelta
from random import Random
from uuid import UUID

from tests.processes.machine import until
from tests.processes.test_jobs import all_fresh, check, says_nothing_of_children

ROWS, PHONES, MOST = 5000, 10, 50
KEPT_ANYWAY = {"stored", "already_stored"}
CUT_OFF = {503, "ConnectionRefusedError", "ConnectionResetError", "RemoteDisconnected"}
OUTCOMES = ("clean", "shaky", "not_there")


class Phone(threading.Thread):
    """One teacher's queue of rows, sent until all are acknowledged."""

    def __init__(self, machine, said, number):
        super().__init__(daemon=True)
        self.machine = machine
        self.dice = Random(number)
        self.token = said["tokens"][number]
        self.queue = [self._row(said) for _ in range(ROWS // PHONES)]
        self.sent = {row["id"]: row for row in self.queue}
        self.answers = Counter()

    def _id(self):
        return str(UUID(int=self.dice.getrandbits(128), version=4))

    def _row(self, said):
        on = (datetime.now(UTC) - timedelta(days=1)).date()
        return {
            "id": self._id(),
            "attempt": self._id(),
            "revision": 1,
            "student": self.dice.choice(said["students"]),
            "skill_id": said["skill_id"],
            "role": "solo",
            "spot": "none",
            "outcome": self.dice.choice(OUTCOMES),
            "weight": "own",
            "try_id": self._id(),
            "class": said["class"],
            "local_date": on.isoformat(),
            "happened_at": f"{on}T17:{self.dice.randrange(10, 45)}:00+00:00",
            "clock_offset_ms": 0,
        }

    def run(self):
        while self.queue:
            batch = self.dice.sample(self.queue, min(len(self.queue), MOST))
            told = self._send([*batch, *self.dice.sample(batch, len(batch) // 10)])
            self.queue = [row for row in self.queue if row["id"] not in told]
            if not told:
                time.sleep(0.3)

    def _send(self, rows):
        """The ids that were acknowledged."""
        headers = {
            "Authorization": f"Token {self.token}",
            "Content-Type": "application/json",
        }
        connection = http.client.HTTPConnection("127.0.0.1", self.machine.ports["web"], timeout=20)
        try:
            body = json.dumps({"rows": rows})
            connection.request("POST", "/api/v1/attempts/batch", body, headers)
            response = connection.getresponse()
            said = response.read()
        except (OSError, http.client.HTTPException) as error:
            self.answers[type(error).__name__] += 1
            return set()
        finally:
            connection.close()
        self.answers[response.status] += 1
        if response.status != 200 or self.dice.random() < 0.03:  # an answer that is never read
            return set()
        answers = json.loads(said)["rows"]
        self.answers.update(answer["status"] for answer in answers)
        return {answer["id"] for answer in answers if answer["status"] in KEPT_ANYWAY}


def test_nothing_is_lost_and_nothing_is_there_twice(machine, fill):
    said = fill(60, 0)
    machine.start_redis()
    machine.start_web()
    machine.start_worker()
    machine.start_beat()
    phones = [Phone(machine, said, number) for number in range(PHONES)]
    for phone in phones:
        phone.start()
    kills = {
        "web": machine.start_web,
        "worker": machine.start_worker,
        "redis": machine.start_redis,
        "postgres": machine.start_postgres,
    }
    for turn, name in enumerate((*kills, *kills), 1):
        # Paced, so that every kill hits a run that is under way.
        share = ROWS - ROWS * turn // (2 * len(kills) + 1)
        until(lambda share=share: sum(len(phone.queue) for phone in phones) <= share)
        machine.kill(name)
        assert any(phone.queue for phone in phones)
        kills[name]()
    for phone in phones:
        phone.join(120)
    assert [len(phone.queue) for phone in phones] == [0] * PHONES

    answers = sum((phone.answers for phone in phones), Counter())
    assert answers.keys() - {200, 503, *KEPT_ANYWAY} <= {
        name for name in answers if isinstance(name, str)
    }, answers
    assert not answers.keys() & {"refused", "held"}
    assert sum(times for name, times in answers.items() if name in CUT_OFF) > 0, answers
    sent = {id_: row for phone in phones for id_, row in phone.sent.items()}
    assert len(sent) == ROWS
    stored = machine.rows("SELECT id, attempt, student_id, outcome FROM attempt")
    assert len(stored) == ROWS
    assert {str(id_): (str(a), str(s), o) for id_, a, s, o in stored} == {
        id_: (row["attempt"], row["student"], row["outcome"]) for id_, row in sent.items()
    }
    until(lambda: all_fresh(machine))
    check(machine, said)
    says_nothing_of_children(machine)
    log = machine.log("web")
    assert re.search(r'"route": "api/v1/attempts/batch", "status": 200', log)
    assert not re.search(r'"status": 500', log)
