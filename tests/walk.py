"""Runs the commands of docs/first-evening.md as they stand, against a service of its own.

A fresh database, a free port, every block marked `sh` in one shell. What the service logs is
searched for what it must never hold. `python -m tests.walk`
"""

import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

ROOT = Path(__file__).parent.parent
PAGE = ROOT / "docs" / "first-evening.md"
BLOCK = re.compile(r"^```sh\n(.*?)^```$", re.DOTALL | re.MULTILINE)
PATIENCE = 60


def main() -> int:
    script = "set -euo pipefail\n" + "\n".join(BLOCK.findall(PAGE.read_text(encoding="utf-8")))
    with tempfile.TemporaryDirectory() as folder:
        port = free_port()
        page = ROOT / "evening.html"
        environment = {
            **os.environ,
            "DATABASE_URL": f"sqlite:///{folder}/walk.sqlite3",
            "PORT": str(port),
            "REDIS_URL": "",
        }
        log = Path(folder) / "log"
        run("migrate", environment)
        with log.open("w") as said:
            service = subprocess.Popen(
                [sys.executable, "manage.py", "serve", "--port", str(port)],
                cwd=ROOT,
                env=environment,
                stdout=said,
                stderr=said,
                start_new_session=True,
            )
            try:
                wait_for(port, service)
                done = subprocess.run(["bash", "-c", script], cwd=ROOT, env=environment)
            finally:
                service.terminate()
                service.wait(timeout=PATIENCE)
        failed = done.returncode
        if failed:
            print(log.read_text()[-4000:], file=sys.stderr)
        elif not page.exists() or "</html>" not in page.read_text(encoding="utf-8"):
            print("the page was not written", file=sys.stderr)
            failed = 1
        for name in ("Amara", "Demba", "Nguyệt", "collected by"):
            if name in log.read_text():
                print(f"“{name}” stands in the log", file=sys.stderr)
                failed = 1
        page.unlink(missing_ok=True)
    print("the walk " + ("failed" if failed else "went through"))
    return failed


def run(command, environment):
    subprocess.run(
        [sys.executable, "manage.py", command, "--verbosity", "0"],
        cwd=ROOT,
        env=environment,
        check=True,
    )


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def wait_for(port, service):
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/readyz", timeout=2):
                return
        except OSError:
            if service.poll() is not None:
                raise SystemExit("the service did not start") from None
            time.sleep(0.2)
    raise SystemExit("the service did not answer in time")


if __name__ == "__main__":
    sys.exit(main())
