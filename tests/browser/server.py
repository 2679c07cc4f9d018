"""A server of one's own with the client as it is built, that can be stopped and told to fail."""

import json
import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path

ROOT = Path(__file__).parents[2]
BUILT = Path(os.environ.get("BUILT", ROOT / "web" / "built"))
PATIENCE = 60


class Server:
    """On SQLite, with a copy of the client, in a folder of its own, which `close` takes away.

    With another server's `rows` and `world` it begins as that one did.
    """

    def __init__(self, like: "Server | None" = None) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="counterpoise-")
        self.folder = Path(self._folder.name)
        with socket.create_server(("127.0.0.1", 0)) as one:
            self.port = one.getsockname()[1]
        self.url = f"http://127.0.0.1:{self.port}"
        self.faults = self.folder / "faults"
        self.rows = self.folder / "rows.sqlite3"
        self.built = self.folder / "built"
        shutil.copytree(BUILT, self.built)
        kept = {name: said for name, said in os.environ.items() if name != "REDIS_URL"}
        self.env = kept | {
            "DATABASE_URL": f"sqlite:///{self.rows}",
            "DJANGO_SETTINGS_MODULE": "tests.browser.settings",
            "BUILT": str(self.built),
            "BIND": f"127.0.0.1:{self.port}",
            "WEB_WORKERS": "1",
            "WEB_THREADS": "8",
            "FAULTS": str(self.faults),
        }
        self._process: subprocess.Popen | None = None
        if like is not None:
            shutil.copy(like.rows, self.rows)
            self.world = like.world
            return
        self.run("manage.py", "migrate", "--verbosity", "0")
        self.world = json.loads(self.run("-m", "tests.browser.world"))
        # So that the file alone is all of it.
        self.ask("PRAGMA wal_checkpoint(TRUNCATE)")

    def run(self, *argv: str) -> str:
        done = subprocess.run(
            [sys.executable, *argv], cwd=ROOT, env=self.env, capture_output=True, text=True
        )
        assert done.returncode == 0, done.stderr[-3000:]
        return done.stdout

    def start(self) -> None:
        """Unless it runs already."""
        if self._process is not None:
            return
        argv = ("-m", "gunicorn", "-c", "python:config.gunicorn", "tests.browser.faults")
        with (self.folder / "log").open("ab") as log:
            self._process = subprocess.Popen(
                [sys.executable, *argv],
                cwd=ROOT,
                env=self.env,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            with socket.socket() as one:
                if one.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            time.sleep(0.1)
        raise AssertionError("the server did not come up")

    def stop(self) -> None:
        """No signal: nothing listens there any more."""
        if self._process is not None:
            os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait()
            self._process = None

    def fail(self, mode: str) -> None:
        """From now on, as `tests.browser.faults` says; an empty mode ends it."""
        self.faults.write_text(mode, "utf-8")

    def ask(self, sql: str, *values: str) -> list[tuple]:
        """What stands in its database now."""
        with closing(sqlite3.connect(self.rows, timeout=20)) as rows:
            return rows.execute(sql, values).fetchall()

    def close(self) -> None:
        self.stop()
        self._folder.cleanup()
