import time

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
            calls = jobs.run(once, now=timezone.now())
            self.stdout.write(f"{once}: {calls} {'call' if calls == 1 else 'calls'}")
        else:
            self._loop()

    def _loop(self):
        # Whatever was missed while nothing ran is due at once.
        never = timezone.now().replace(year=2000)
        last = dict.fromkeys(jobs.JOBS, never)
        while True:
            waits = []
            for name in jobs.JOBS:
                due, wait = TIMES[name].when.is_due(last[name])
                if due:
                    last[name] = timezone.now()
                    jobs.attempt(name)
                waits.append(wait)
            time.sleep(min(*waits, LONGEST_SLEEP))
