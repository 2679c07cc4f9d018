"""The sheet of a 12-child class, in process after imports, beside the solver's own share of it."""

import io
import os
import statistics
import tempfile
import time
from pathlib import Path

ROUNDS = 9


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        os.environ["DATABASE_URL"] = f"sqlite:///{Path(folder) / 'bench.sqlite3'}"
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0)
        call_command("demo", stdout=io.StringIO())
        _measure()


def _measure() -> None:
    from django.utils import timezone

    from accounts.scope import scope_of
    from classes.classes import class_named
    from demo import files
    from demo.term import TUESDAY_CLASS
    from planning import evening, proposals, tonight
    from planning.asked import Typed, by_name
    from planning.sheet import as_html, as_text

    today = timezone.localdate()
    scope = scope_of(school=files.SCHOOL, member=files.TEACHER, on=today)
    klass = class_named(scope, name=TUESDAY_CLASS)
    typed = Typed(on=files.tonight_for(today), spotters=("Aroha T.",))
    solving: list[float] = []
    solve = proposals.solve

    def timed(*args, **options):
        begin = time.perf_counter()
        answer = solve(*args, **options)
        solving.append(time.perf_counter() - begin)
        return answer

    proposals.solve = timed
    rounds = []
    for _ in range(ROUNDS):
        solving.clear()
        begin = time.perf_counter()
        asked = by_name(scope, klass=klass, typed=typed)
        tonights = evening.load(scope, klass=klass, asked=asked)
        loaded = time.perf_counter()
        sheet, _ = tonight.make_sheet(tonights)
        as_text(sheet), as_html(sheet)
        done = time.perf_counter()
        rounds.append((done - begin, loaded - begin, sum(solving), len(solving)))
    proposals.solve = solve
    whole, loading, solver, solved = (
        statistics.median(column) for column in zip(*rounds, strict=True)
    )
    print(f"children here            {len(tonights.here)}")
    print(f"whole sheet              {whole * 1000:8.1f} ms (median of {ROUNDS})")
    print(f"  reading the database   {loading / whole:8.0%}")
    print(f"  solver, {solved:2.0f} skills      {solver / whole:8.0%}")
    print(f"  everything else        {1 - (loading + solver) / whole:8.0%}")


if __name__ == "__main__":
    main()
