"""What runs side by side: the embedded server, and the stack against docker-compose.yml."""

import os
import signal
import socket
import sys
import threading
import time
from pathlib import Path

import pytest
import yaml

from config.processes import Process, Unset, is_free, of_compose, ports, run, together
from tests.shell import shell

ROOT = Path(__file__).parents[2]
COMPOSE = yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))
OURS = {name: one for name, one in COMPOSE["services"].items() if "build" in one}
MACHINE = {
    "DATABASE_URL": "postgres://ours@127.0.0.1:5432/ours",
    "REDIS_URL": "redis://127.0.0.1:7001/0",
    "SECRET_KEY": "k",
    "POSTGRES_PASSWORD": "p",
}


def stack(**environ):
    return of_compose(COMPOSE, environ=MACHINE | environ, port=9000, path="/here")


def python(code):
    return (sys.executable, "-c", code)


@pytest.fixture
def taken():
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield server.getsockname()[1]


# -- the stack is the compose file -------------------------------------------------------------


def test_the_compose_file_runs_what_it_should():
    replicas = {name: one.get("deploy", {}).get("replicas", 1) for name, one in OURS.items()}
    assert replicas == {"migrate": 1, "web": 2, "worker": 2, "beat": 1}
    assert COMPOSE["services"].keys() - OURS.keys() == {"postgres", "redis"}
    lasting = COMPOSE["services"].keys() - {"migrate", "beat"}
    assert all("healthcheck" in COMPOSE["services"][name] for name in lasting)


def test_the_stack_runs_the_same_commands():
    first, then = stack()
    assert [(one.name, list(one.argv)) for one in first] == [
        ("migrate", OURS["migrate"]["command"])
    ]
    assert all(one.again for one in then)  # `restart: unless-stopped`
    assert [(one.name, list(one.argv)) for one in then] == [
        (f"{name} {place}", OURS[name]["command"])
        for name, count in (("web", 2), ("worker", 2), ("beat", 1))
        for place in range(1, count + 1)
    ]


def test_the_stack_has_the_same_environment_but_for_where_this_machine_is():
    first, then = stack()
    for process in (*first, *then):
        said = OURS[process.name.split()[0]]["environment"]
        assert process.env.keys() == said.keys() | {"PATH"}
        assert process.env["DATABASE_URL"] == MACHINE["DATABASE_URL"]
        assert process.env["REDIS_URL"] == MACHINE["REDIS_URL"]
    assert [one.env.get("BIND") for one in then] == [
        "127.0.0.1:9000",
        "127.0.0.1:9001",
        None,
        None,
        None,
    ]
    assert list(ports(then)) == [9000, 9001]


def test_what_is_not_set_has_its_default_or_a_line_that_names_it():
    _, then = stack()
    assert (then[0].env["HTTPS"], then[0].env["ALLOWED_HOSTS"]) == ("1", "127.0.0.1,localhost")
    _, then = stack(HTTPS="0", ALLOWED_HOSTS="dance.example")
    assert (then[0].env["HTTPS"], then[0].env["ALLOWED_HOSTS"]) == ("0", "dance.example")
    for name in ("DATABASE_URL", "REDIS_URL", "SECRET_KEY"):
        with pytest.raises(Unset, match=f"^{name} is not set"):
            stack(**{name: ""})


def test_the_stack_says_in_a_line_what_is_missing(monkeypatch):
    monkeypatch.setenv("DATABASE_URL", MACHINE["DATABASE_URL"])
    monkeypatch.delenv("REDIS_URL", raising=False)
    assert shell("stack").refusal == ("REDIS_URL is not set, such as redis://127.0.0.1:6379/0")


@pytest.mark.parametrize("command", ["serve", "stack"])
def test_a_port_that_is_taken_is_said_in_a_line(command, taken, monkeypatch):
    for name, value in MACHINE.items():
        monkeypatch.setenv(name, value)
    said = shell(command, "--port", str(taken)).refusal
    assert said.startswith(f"port {taken} of this machine is taken or not ours: choose another")


def test_no_port_of_a_machine():
    assert shell("serve", "--port", "70000").refusal.startswith("argument --port: invalid choice")


def test_a_port_is_free_or_not(taken):
    assert not is_free(taken)


# -- they live and end together ----------------------------------------------------------------


def test_a_process_runs_to_its_end_with_its_environment():
    code = "import os, sys; sys.exit(int(os.environ['ENDS']))"
    assert run(Process("one", python(code), {"ENDS": "3"})) == 3


def test_when_one_ends_all_end(tmp_path):
    alive = tmp_path / "alive"
    waits = f"import pathlib, os, time; pathlib.Path({str(alive)!r}).write_text(str(os.getpid()));"
    ends = f"import pathlib, sys, time\nwhile not pathlib.Path({str(alive)!r}).exists():"
    status = together(
        [
            Process("waits", python(waits + "time.sleep(600)")),
            Process("ends", python(ends + " time.sleep(0.05)\nsys.exit(4)")),
        ]
    )
    assert status == 4
    time.sleep(0.2)
    with pytest.raises(ProcessLookupError):
        os.kill(int(alive.read_text()), 0)


def test_what_is_to_run_again_is_begun_anew(tmp_path, monkeypatch):
    monkeypatch.setattr("config.processes.PAUSE_SECONDS", 0)
    begun = tmp_path / "begun"
    dies = f"open({str(begun)!r}, 'a').write('.'); raise SystemExit(1)"
    ends = f"import os, sys, time\nwhile not os.path.exists({str(begun)!r}) or "
    ends += f"os.path.getsize({str(begun)!r}) < 3: time.sleep(0.05)\nsys.exit(4)"
    processes = [
        Process("dies", python(dies), again=True),
        Process("ends", python(ends)),
    ]
    assert together(processes) == 4
    assert begun.read_text() >= "..."


def test_when_we_are_told_to_stop_all_are_told(tmp_path):
    told = tmp_path / "told"
    code = (
        "import pathlib, signal, sys, time\n"
        f"told = pathlib.Path({str(told)!r})\n"
        "def stop(*_):\n    told.write_text('stopped')\n    sys.exit(0)\n"
        "signal.signal(signal.SIGTERM, stop)\n"
        "told.write_text('ready')\n"
        "time.sleep(600)\n"
    )

    def tell():
        while not told.exists() or told.read_text() != "ready":
            time.sleep(0.05)
        os.kill(os.getpid(), signal.SIGTERM)

    teller = threading.Thread(target=tell)
    teller.start()
    assert together([Process("waits", python(code))]) == 0
    teller.join()
    assert told.read_text() == "stopped"
    assert signal.getsignal(signal.SIGTERM) == signal.SIG_DFL


def test_a_command_that_is_not_there_leaves_none_running():
    with pytest.raises(FileNotFoundError):
        together([Process("no", ("no-such-command",))])
