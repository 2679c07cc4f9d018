"""Runs the commands of the pages below as they stand, against a service of its own.

A fresh database, a free port, every block marked `sh` of one page after the other in one shell.
What they put by is looked at, and what the service logs is searched for what it must never hold.
`python -m tests.walk`
"""

import json
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "docs" / f"{name}.md" for name in ("first-evening", "second-edition")]
BLOCK = re.compile(r"^```sh\n(.*?)^```$", re.DOTALL | re.MULTILINE)
PATIENCE = 60
UNSAID = ("Amara", "Demba", "Nguyệt", "Ebele", "Lupe", "collected by")
LEAN, HALVES = "facing_lean", ("facing_lean_half", "facing_lean_squat")
WITH_A_YES = "Þóra"


def main() -> int:
    blocks = [one for page in PAGES for one in BLOCK.findall(page.read_text(encoding="utf-8"))]
    script = "set -euo pipefail\n" + "\n".join(blocks)
    with tempfile.TemporaryDirectory() as folder:
        port = free_port()
        page = ROOT / "var" / "evening.html"
        environment = {
            **os.environ,
            "DATABASE_URL": f"sqlite:///{folder}/walk.sqlite3",
            "PORT": str(port),
            "REDIS_URL": "",
            "TMPDIR": folder,
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
        wrong = [f"“{name}” stands in the log" for name in UNSAID if name in log.read_text()]
        if done.returncode:
            wrong += [log.read_text()[-4000:], "a command failed"]
        else:
            if not page.exists() or "</html>" not in page.read_text(encoding="utf-8"):
                wrong.append("the page was not written")
            wrong += of_second_edition(next(Path(folder).glob("tmp.*")))
        page.unlink(missing_ok=True)
    for one in wrong:
        print(one, file=sys.stderr)
    print("the walk " + ("failed" if wrong else "went through"))
    return int(bool(wrong))


def of_second_edition(folder: Path) -> Iterator[str]:
    """What is wrong with the sheets that its page put by, beside what it compares itself."""
    sheets = {one.stem: json.loads(one.read_text(encoding="utf-8")) for one in folder.glob("*")}
    numbers = [sheets[f"{name}-second"]["edition"]["number"] for name in ("mill", "harbour")]
    if numbers != [1, 2]:
        yield f"the studios have the editions {numbers}"
    stood, stands = standing(sheets["harbour-before"]), standing(sheets["harbour-second"])
    expected = {
        (name, heir, role): said
        for (name, skill, role), said in stood.items()
        for heir in (HALVES if skill == LEAN else (skill,))
    }
    for heir in HALVES:  # a yes does not flow on
        ready, *rest = expected[WITH_A_YES, heir, "partner"]
        if not ready:
            yield "she was not ready by the yes"
        expected[WITH_A_YES, heir, "partner"] = (False, *rest)
    for about in sorted(expected.keys() | stands.keys()):
        if expected.get(about) != stands.get(about):
            yield f"{about}: {stands.get(about)}, not {expected.get(about)}"


def standing(sheet):
    """How each child stands in each role of each skill."""
    return {
        (child["name"], one["skill"], one["role"]): (one["ready"], one["stopped"], one["help"])
        for child in sheet["children"]
        for one in child["skills"]
    }


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
