"""The engine stays computation: checked by importing all of it in a fresh interpreter."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]

SCRIPT = """
import importlib, pkgutil, sys
import engine
for module in pkgutil.walk_packages(engine.__path__, "engine."):
    importlib.import_module(module.name)
print(sorted(name for name in sys.modules if name.split(".")[0] in {"django", "ortools"}))
"""


def test_importing_all_of_the_engine_loads_neither_django_nor_the_solver():
    # The solver is imported when something is solved: it alone costs a quarter of a second.
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_the_engine_asks_no_clock_and_throws_no_dice():
    found = [
        f"{path.relative_to(ROOT)}: {word}"
        for path in sorted((ROOT / "engine").rglob("*.py"))
        for word in (
            "datetime.now",
            "utcnow",
            "date.today",
            "time.time",
            "import random",
            "np.random",
        )
        if word in path.read_text(encoding="utf-8")
    ]
    assert found == []
