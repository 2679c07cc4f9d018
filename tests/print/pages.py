"""Prints the demo's sheet with all twelve children in Chromium: it has to be one side of A4.

Run by .ci/run, which installs the browser: `python -m tests.print.pages`. Exit status 1 and a line
when it is not. It is no part of `make test`, which needs no browser.
"""

import io
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.chromium import FLAGS, installed

A4_POINTS = (595, 842)  # ISO 216: 210 mm x 297 mm at 72 points an inch


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        page = _sheet(folder)
        pdf = folder / "sheet.pdf"
        subprocess.run(
            [
                _browser(),
                *FLAGS,
                "--headless",
                "--no-pdf-header-footer",
                f"--user-data-dir={folder / 'profile'}",
                f"--print-to-pdf={pdf}",
                page.as_uri(),
            ],
            check=True,
            capture_output=True,
            timeout=120,
        )
        boxes = re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)", pdf.read_bytes())
    sizes = {tuple(round(float(side)) for side in box) for box in boxes}
    if len(boxes) != 1 or sizes != {A4_POINTS}:
        sys.exit(f"the sheet of twelve children prints as {len(boxes)} pages of {sorted(sizes)}")
    print("the sheet of twelve children prints on one side of A4")


def _sheet(folder: Path) -> Path:
    os.environ["DATABASE_URL"] = f"sqlite:///{folder / 'print.sqlite3'}"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    import django
    from django.core.management import call_command
    from django.utils import timezone

    django.setup()
    from demo import files
    from demo.term import TUESDAY_CLASS

    call_command("migrate", verbosity=0)
    call_command("demo", stdout=io.StringIO())
    page = folder / "sheet.html"
    call_command(
        "tonight",
        TUESDAY_CLASS,
        school=files.SCHOOL,
        member=files.TEACHER,
        date=files.tonight_for(timezone.localdate()),
        spotters=["Aroha T."],
        html=page,
        stdout=io.StringIO(),
    )
    return page


def _browser() -> str:
    found = installed()
    if found is None:
        sys.exit("no Chromium on this machine")
    return found


if __name__ == "__main__":
    main()
