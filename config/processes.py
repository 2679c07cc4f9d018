"""Several processes that live and end together: the embedded server, and the stack."""

import os
import re
import signal
import socket
import subprocess
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from django.conf import settings

PAUSE_SECONDS = 1  # before what has ended is begun anew
END_SECONDS = 25  # for what is under way; then it is killed
GAP = re.compile(r"\$\{(\w+)(?::([-?])([^}]*))?\}|\$\$")
STOPS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


@dataclass(frozen=True)
class Process:
    """A command with what it finds in its environment; with `again` it is begun anew if it ends."""

    name: str
    argv: tuple[str, ...]
    env: Mapping[str, str] = field(default_factory=dict)
    again: bool = False


class Unset(Exception):
    """A variable that the stack needs is not set; the text says which, and what to do."""


def is_free(port: int) -> bool:
    """Whether this machine lets a server of ours listen there."""
    with socket.socket() as one:
        one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            one.bind(("127.0.0.1", port))
        except OSError:
            return False
    return True


def run(process: Process) -> int:
    """This will run a process to its end; its exit status."""
    return _begin(process).wait()


def together(processes: Sequence[Process]) -> int:
    """This will run processes until one of them ends or we are told to stop, then end them all.

    One that is to run `again` is begun anew instead. The exit status is that of the first one that
    ended, 0 when we were told to stop. Call it in the main thread.
    """
    told = []
    before = {one: signal.signal(one, lambda number, _: told.append(number)) for one in STOPS}
    running = []
    try:
        running += [_begin(process) for process in processes]
        while not told:
            for place, process in enumerate(processes):
                if running[place].poll() is None:
                    continue
                if not process.again:
                    return running[place].returncode
                time.sleep(PAUSE_SECONDS)
                running[place] = _begin(process)
            time.sleep(0.1)
        return 0
    finally:
        _end(running)
        for number, handler in before.items():
            signal.signal(number, handler)


def _begin(process):
    # A session of its own: what a terminal sends to all is told to them by us, in order.
    return subprocess.Popen(  # noqa: S603, commands of ours
        process.argv,
        cwd=settings.BASE_DIR,
        env=os.environ | process.env,
        start_new_session=True,
    )


def _end(running):
    for child in running:
        if child.poll() is None:
            child.terminate()
    until = time.monotonic() + END_SECONDS
    for child in running:
        try:
            child.wait(max(0, until - time.monotonic()))
        except subprocess.TimeoutExpired:
            os.killpg(child.pid, signal.SIGKILL)
            child.wait()


def of_compose(
    compose: Mapping[str, Mapping], *, environ: Mapping[str, str], port: int, path: str
) -> tuple[list[Process], list[Process]]:
    """This will read from a compose file what runs to its end first, and what runs then.

    Its own services alone: the database and the broker are those of this machine, by DATABASE_URL
    and REDIS_URL. Replicas of what is published listen at `port` and after. `path` is where the
    commands are found. Raises `Unset`.
    """
    first, then = [], []
    for name, service in compose["services"].items():
        if "build" not in service:
            continue
        argv = tuple(_filled(word, environ) for word in service["command"])
        env = {key: _value(key, said, environ) for key, said in service["environment"].items()}
        env["PATH"] = path
        restart = service.get("restart")
        if restart == "no":
            first.append(Process(name, argv, env))
            continue
        for place in range(service.get("deploy", {}).get("replicas", 1)):
            own = {"BIND": f"127.0.0.1:{port + place}"} if "ports" in service else {}
            again = restart == "unless-stopped"
            then.append(Process(f"{name} {place + 1}", argv, env | own, again))
    return first, then


def _value(key, said, environ):
    if key in OF_THIS_MACHINE:
        if not environ.get(key):
            raise Unset(f"{key} is not set, such as {OF_THIS_MACHINE[key]}")
        return environ[key]
    return _filled(str(said), environ)


OF_THIS_MACHINE = {
    "DATABASE_URL": "postgres://user@127.0.0.1:5432/name",
    "REDIS_URL": "redis://127.0.0.1:6379/0",
}


def _filled(text, environ):
    def one(found):
        name, kind, words = found.groups()
        if name is None:
            return "$"
        if environ.get(name):
            return environ[name]
        if kind == "-":
            return words
        raise Unset(f"{name} is not set: {words or 'the stack needs it'}")

    return GAP.sub(one, text)


def ports(processes: Sequence[Process]) -> Iterator[int]:
    """The ports at which processes are going to listen."""
    for process in processes:
        if "BIND" in process.env:
            yield int(process.env["BIND"].rpartition(":")[2])
