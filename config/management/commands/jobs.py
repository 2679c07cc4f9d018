import time

from django.core.management.base import CommandError
from django.db import close_old_connections
from django.utils import timezone

from accounts.commands import PlainCommand
from config import jobs
from config.celery import TIMES

LONGEST_SLEEP = 60


class Command(PlainCommand):
    help = "Run the jobs here, without Redis, until it is stopped."

    def add_arguments(self, parser):
        which = parser.add_mutually_exclusive_group()
        which.add_argument("--once", metavar="NAME", choices=jobs.JOBS, help="one job, then end")
        which.add_argument("--list", action="store_true", help="say which jobs there are and when")

    def handle(self, *args, once, list, **options):
        if list:
            for name in jobs.JOBS:
                self.stdout.write(f"{name}: {TIMES[name].said}")
        elif once:
            calls, failed = jobs.run(once, now=timezone.now())
            self.stdout.write(f"{once}: {calls} {'call' if calls == 1 else 'calls'}")
            if failed:
                raise CommandError(f"{failed} failed; the log says how", returncode=1)
        else:
            self._loop()

    def _loop(self):
        # Whatever was missed while nothing ran is due at once.
        last = dict.fromkeys(jobs.JOBS, timezone.now().replace(year=2000))
        while True:
            waits = []
            for name in jobs.JOBS:
                due, wait = TIMES[name].when.is_due(last[name])
                if due:
                    last[name] = timezone.now()
                    self._attempt(name)
                waits.append(wait)
            time.sleep(min(*waits, LONGEST_SLEEP))

    def _attempt(self, name):
        close_old_connections()
        try:
            jobs.run(name, now=timezone.now())
        except Exception:  # the database may be away: the next time it may be there
            jobs.log.exception("job failed: %s", name)
        close_old_connections()
