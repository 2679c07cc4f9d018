"""The pages of the desk: each in a large school beside the same in a small one.

A real web server of one process on PostgreSQL before each school, asked by a head teacher over one
connection; a page of the one school and of the other are asked turn and turn about. Figures are
medians.

    DATABASE_URL=postgres://user@127.0.0.1:5432/name .venv/bin/python -m bench.pages
"""

import os
import sys
from contextlib import ExitStack
from functools import partial
from urllib.parse import urlsplit

from bench import worlds

ROUNDS = 5, 25  # at least, and at most
SECONDS = 4  # for the rounds of one page, if they are not the least
WEEKS = (*range(10), *range(13, 23))
TRIES = 6
TIMES = 3  # as much slower as more is told
COUNTED_UP = "comparison"  # tells of studios what the whole log comes to


def main() -> None:
    server = os.environ.get("DATABASE_URL", "")
    if not server.startswith("postgres"):
        print("left out: it needs a PostgreSQL server, named by DATABASE_URL")
        return
    names = [f"bench_{os.getpid()}_{size}" for size in ("small", "large")]
    with ExitStack() as stack:
        small = stack.enter_context(worlds.database(server, names[0]))
        _begin(small)
        from tests.pages.made import Size

        large = stack.enter_context(worlds.database(server, names[1], like=names[0]))
        sizes = {
            small: Size(79, 60, 3, weeks=WEEKS, tries=TRIES),
            large: Size(200, 2_000, 30, weeks=WEEKS, tries=TRIES),
        }
        schools = []
        for url, size in sizes.items():
            paths, tries, token = _build(url, size)
            print(f"{size}, {tries:,} tries")
            schools.append((paths, tries, stack.enter_context(worlds.served(url, token=token))))
        missed = list(_pages(*schools))
    print(f"load of the machine            {os.getloadavg()[0]:8.1f} on {os.cpu_count()} cores")
    for what in missed:
        print(f"MISSED: {what}")
    if missed:
        sys.exit(1)


def _begin(url):
    """Make the tables; both databases are asked by this process, one after the other."""
    os.environ |= worlds.SETTINGS | {"DATABASE_URL": url}
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connection

    call_command("migrate", verbosity=0)
    connection.close()


def _build(url, size):
    """Build a school in a database, with no belief that waits; its pages, how many tries were
    logged, and a token of its head teacher."""
    from django.db import connection
    from django.utils import timezone

    from accounts.tokens import issue
    from classes import replay
    from classes.models import Attempt
    from tests.pages.made import build
    from tests.pages.routes import routes

    connection.settings_dict["NAME"] = urlsplit(url).path[1:]
    now = timezone.now()
    made = build(size, name="Sandrow School of Dance", at=now)
    replay.refresh(made.head)
    token = issue(made.head, member_id=made.head.member_id, at=now)
    tries = Attempt.objects.count()
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE")
    connection.close()
    return routes(made), tries, token


def _pages(small, large):
    """Print what each page takes; yields what is missed."""
    print("                              small      large   large / small   of its bytes")
    for name in small[0]:
        asked = {
            size: partial(server.ask, paths[name])
            for size, (paths, _, server) in (("small", small), ("large", large))
        }
        seconds, _, contents = zip(*(ask() for ask in asked.values()), strict=True)
        rounds = sorted((*ROUNDS, round(SECONDS / sum(seconds))))[1]
        took = worlds.in_turn(asked, rounds=rounds)
        slower, longer = took["large"] / took["small"], len(contents[1]) / len(contents[0])
        print(
            f"{name:22} {took['small'] * 1000:8.1f} ms {took['large'] * 1000:8.1f} ms"
            f" {slower:12.2f} {longer:14.2f}"
        )
        grown = large[1] / small[1] if name == COUNTED_UP else longer
        if slower > TIMES * max(1, grown):
            yield f"{name} takes {slower:.1f} times as long, and tells {longer:.1f} times as much"


if __name__ == "__main__":
    main()
