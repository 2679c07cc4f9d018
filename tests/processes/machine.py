"""Servers and processes of one's own: PostgreSQL, Redis, web, worker and beat on free ports."""

import os
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import psycopg

ROOT = Path(__file__).parents[2]
PROGRAMS = sorted(Path("/usr/lib/postgresql").glob("*/bin"))[-1:]
GUNICORN = ("-m", "gunicorn", "-c", "python:config.gunicorn", "config.wsgi")
CELERY = ("-m", "celery", "-A", "config.celery")
WORKER = (*CELERY, "worker", "--concurrency", "2", "--loglevel", "INFO")
WORKER += ("--without-gossip", "--without-mingle")
BEAT = (*CELERY, "beat", "--scheduler", "celery.beat:Scheduler", "--loglevel", "INFO")
SETTINGS = """
port = {port}
listen_addresses = '127.0.0.1'
unix_socket_directories = '{folder}'
max_connections = 60
restart_after_crash = on
log_error_verbosity = terse
log_min_error_statement = panic
"""
PATIENCE = 90  # seconds; a busy machine is slow, and nothing here is timed


def missing() -> str:
    """Why there can be no machine here, or nothing."""
    if not PROGRAMS:
        return "PostgreSQL's own programs are not here"
    return "" if shutil.which("redis-server") else "redis-server is not here"


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as server:
        return server.getsockname()[1]


def until(holds: Callable[[], object], *, seconds: float = PATIENCE) -> object:
    """What `holds` answers as soon as it is true."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        found = holds()
        if found:
            return found
        time.sleep(0.1)
    raise AssertionError("it did not come about")


class Machine:
    """All of it in one folder, which `close` takes away."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="counterpoise-"))
        self.folder.chmod(0o755)
        self.ports = {name: free_port() for name in ("postgres", "redis", "web")}
        self.running: dict[str, subprocess.Popen] = {}
        self.postgres_url = f"postgres://postgres@127.0.0.1:{self.ports['postgres']}"
        self.env = os.environ | {
            "DATABASE_URL": f"{self.postgres_url}/postgres",
            "REDIS_URL": f"redis://127.0.0.1:{self.ports['redis']}/0",
            "BIND": f"127.0.0.1:{self.ports['web']}",
            "WEB_WORKERS": "2",
            "PYTHONPATH": str(ROOT),
            "DJANGO_SETTINGS_MODULE": "config.settings",
        }
        # PostgreSQL does not run as root.
        self.user = {"user": "postgres"} if os.geteuid() == 0 else {}
        self._lay_out()

    def _lay_out(self):
        data = self.folder / "pg"
        data.mkdir(mode=0o700)
        if self.user:
            entry = pwd.getpwnam("postgres")
            os.chown(data, entry.pw_uid, entry.pw_gid)
            os.chown(self.folder, entry.pw_uid, entry.pw_gid)
        how = ("-A", "trust", "-U", "postgres", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync")
        subprocess.run(
            [PROGRAMS[0] / "initdb", "-D", data, *how],
            cwd="/",
            check=True,
            capture_output=True,
            **self.user,
        )
        said = SETTINGS.format(port=self.ports["postgres"], folder=self.folder)
        with (data / "postgresql.conf").open("a", encoding="utf-8") as file:
            file.write(said)

    def start(self, name: str, *argv: object, **options) -> None:
        """Start a process in a session of its own; what it says goes to a file of its name."""
        with (self.folder / f"{name}.log").open("ab") as log:
            options = {"cwd": ROOT, "env": self.env} | options
            self.running[name] = subprocess.Popen(
                [str(word) for word in argv],
                stdout=log,
                stderr=log,
                start_new_session=True,
                **options,
            )

    def start_postgres(self) -> None:
        """Start it as often as it takes: after a kill its old servants live on for a moment."""
        argv = (PROGRAMS[0] / "postgres", "-D", self.folder / "pg")

        def answers():
            if "postgres" not in self.running or self.running["postgres"].poll() is not None:
                self.start("postgres", *argv, cwd="/", env=None, **self.user)
                time.sleep(0.2)
            try:
                return bool(self.rows("SELECT 1"))
            except psycopg.Error:
                return False

        until(answers)

    def start_redis(self) -> None:
        port = ("--port", self.ports["redis"], "--bind", "127.0.0.1")
        kept = ("--save", "", "--appendonly", "no", "--dir", self.folder)
        self.start("redis", "redis-server", *port, *kept)

    def start_web(self) -> None:
        """Start it as soon as its port is free again."""

        def listens():
            if "web" not in self.running or self.running["web"].poll() is not None:
                self.start("web", sys.executable, *GUNICORN)
                time.sleep(0.5)
            with socket.socket() as one:
                return one.connect_ex(("127.0.0.1", self.ports["web"])) == 0

        until(listens)

    def start_worker(self, name: str = "worker") -> None:
        self.start(name, sys.executable, *WORKER)

    def start_beat(self) -> None:
        self.start("beat", sys.executable, *BEAT)

    def kill(self, name: str, number: int = signal.SIGKILL) -> None:
        """Kill a process and all that it has started, at once."""
        process = self.running.pop(name)
        os.killpg(process.pid, number)
        process.wait(PATIENCE)

    def run(self, *argv: str) -> str:
        """What a Python command says, which must succeed."""
        done = subprocess.run(
            [sys.executable, *argv], cwd=ROOT, env=self.env, capture_output=True, text=True
        )
        assert done.returncode == 0, done.stderr[-3000:]
        return done.stdout

    def rows(self, statement: str) -> list[tuple]:
        with psycopg.connect(
            host="127.0.0.1",
            port=self.ports["postgres"],
            user="postgres",
            dbname="postgres",
            connect_timeout=5,
        ) as connection:
            return connection.execute(statement).fetchall()

    def log(self, name: str) -> str:
        path = self.folder / f"{name}.log"
        return path.read_text(encoding="utf-8", errors="replace") if path.exists() else ""

    def close(self) -> None:
        for name in list(self.running):
            if self.running[name].poll() is None:
                self.kill(name)
        shutil.rmtree(self.folder)
