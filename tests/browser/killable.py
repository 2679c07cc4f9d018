"""A phone's browser with a profile of its own: it can be killed, and started again on the same."""

import atexit
import os
import signal
import subprocess
import tempfile
import time
from contextlib import suppress
from pathlib import Path

from tests.browser.conftest import PATIENCE_MS, PHONE
from tests.browser.watch import Watch
from tests.chromium import FLAGS, installed


class Killable:
    """`page` is on the screen while it runs; what is written to the profile outlives it."""

    def __init__(self, playwright, server) -> None:
        self._playwright, self._server = playwright, server
        self._profile = tempfile.TemporaryDirectory(
            prefix="counterpoise-phone-", ignore_cleanup_errors=True
        )
        self._port = Path(self._profile.name) / "DevToolsActivePort"
        self._process: subprocess.Popen | None = None
        self._watches: list[Watch] = []
        atexit.register(self.kill)

    def start(self) -> None:
        """Opens the browser on an empty page."""
        self._port.unlink(missing_ok=True)
        self._process = subprocess.Popen(
            [
                installed(),
                *FLAGS,
                "--headless=new",
                "--remote-debugging-port=0",
                f"--user-data-dir={self._profile.name}",
                "about:blank",
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        browser = self._playwright.chromium.connect_over_cdp(f"http://127.0.0.1:{self._said()}")
        context = browser.contexts[0]
        context.set_default_timeout(PATIENCE_MS)
        self._watches.append(Watch(context, self._server))
        self.page = context.pages[0]
        self.page.set_viewport_size(PHONE)

    def kill(self) -> None:
        """All of it at once, as when a battery dies: nothing is closed, nothing is told."""
        if self._process is not None:
            with suppress(ProcessLookupError):
                os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait()
            self._process = None

    def close(self) -> None:
        self.kill()
        self._profile.cleanup()
        atexit.unregister(self.kill)
        for one in self._watches:
            one.check()

    def _said(self) -> str:
        """The port that the browser has chosen."""
        end = time.monotonic() + PATIENCE_MS / 1000
        while time.monotonic() < end:
            with suppress(FileNotFoundError, IndexError):
                return self._port.read_text().splitlines()[0]
            time.sleep(0.05)
        raise AssertionError("the browser did not come up")
