"""Schools of one size and another, each a database of its own with a web server before it."""

import http.client
import os
import secrets
import socket
import statistics
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from random import Random
from urllib.parse import urlsplit

import psycopg
from psycopg import sql

BEGINS_WITHIN = 60.0  # seconds
SETTINGS = {
    "DJANGO_SETTINGS_MODULE": "bench.settings",
    "HTTPS": "0",
    "WEB_WORKERS": "1",
    "SECRET_KEY": secrets.token_urlsafe(64),
}


class Server:
    """A real web server, asked over one connection that stays open."""

    def __init__(self, port: int, token: str) -> None:
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        self._headers = {"Authorization": f"Token {token}"}

    def ask(
        self,
        path: str,
        *,
        body: bytes | None = None,
        headers: Mapping[str, str] = {},
    ) -> tuple[float, http.client.HTTPResponse, bytes]:
        """How long an answer took in seconds, the answer and what it holds."""
        method = "GET" if body is None else "POST"
        kind = {} if body is None else {"Content-Type": "application/json"}
        begin = time.perf_counter()
        self._connection.request(method, path, body, self._headers | kind | dict(headers))
        answer = self._connection.getresponse()
        content = answer.read()
        return time.perf_counter() - begin, answer, content


@contextmanager
def database(server: str, name: str, *, like: str | None = None) -> Iterator[str]:
    """A database on the server of a URL, a copy of another one, for as long as this lasts."""
    create = sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name))
    if like:
        create += sql.SQL(" TEMPLATE {}").format(sql.Identifier(like))
    with psycopg.connect(server, autocommit=True) as admin:
        admin.execute(create)
    try:
        yield urlsplit(server)._replace(path=f"/{name}").geturl()
    finally:
        with psycopg.connect(server, autocommit=True) as admin:
            admin.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


@contextmanager
def served(url: str, *, token: str) -> Iterator[Server]:
    """The service before a database, one process, on a free port of this machine."""
    port = _free_port()
    gunicorn = [sys.executable, "-m", "gunicorn", "-c", "python:config.gunicorn"]
    env = os.environ | SETTINGS | {"DATABASE_URL": url, "BIND": f"127.0.0.1:{port}"}
    with ExitStack() as stack:
        process = subprocess.Popen(  # noqa: S603, a command of ours
            [*gunicorn, "--keep-alive", "60", "config.wsgi"], env=env, stderr=subprocess.DEVNULL
        )
        stack.callback(process.wait)
        stack.callback(process.terminate)
        until = time.monotonic() + BEGINS_WITHIN
        while not _listens(port):
            if process.poll() is not None or time.monotonic() > until:
                raise SystemExit("the web server of the bench did not begin")
            time.sleep(0.1)
        yield Server(port, token)


def in_turn(asked: Mapping[str, Callable], *, rounds: int) -> dict[str, float]:
    """Median seconds of each request, all of them asked once a round, after two rounds to warm.

    Each round has an order of its own: who comes after whom tells.
    """
    took = defaultdict(list)
    dice = Random(1)
    for place in range(-2, rounds):
        for name in dice.sample(list(asked), len(asked)):
            seconds, answer, content = asked[name]()
            if answer.status not in (200, 304):
                raise SystemExit(f"{name}: {answer.status} {content[:300]!r}")
            if place >= 0:
                took[name].append(seconds)
    return {name: statistics.median(times) for name, times in took.items()}


def _listens(port):
    try:
        socket.create_connection(("127.0.0.1", port)).close()
    except ConnectionRefusedError:
        return False
    return True


def _free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]
