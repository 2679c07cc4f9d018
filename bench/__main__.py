"""All figures of `make bench`: ratios within one run, since a machine's seconds say little."""

import subprocess
import sys

from bench import grouping, pages, phone, readiness, service, sheet

missed = False
for part in (readiness, grouping, sheet, service, pages, phone):
    print(f"\n{part.__doc__.splitlines()[0]}", flush=True)
    # A process of its own: settings are read once, and each has a database of its own.
    command = [sys.executable, "-m", part.__name__]
    missed |= subprocess.run(command).returncode != 0  # noqa: S603, a part of ours
sys.exit(missed)
