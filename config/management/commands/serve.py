import sys

from accounts.commands import PlainCommand, Refused
from config.processes import Process, is_free, together

TAKEN = "port {port} of this machine is taken or not ours: choose another, such as PORT={other}"


class Command(PlainCommand):
    help = "Serve on this machine alone, with the jobs beside it, until it is stopped."

    def add_arguments(self, parser):
        parser.add_argument("--port", type=int, default=8000, choices=range(1, 65536), metavar="N")

    def handle(self, *args, port, **options):
        if not is_free(port):
            raise Refused(TAKEN.format(port=port, other=port % 65535 + 1))
        self.stdout.write(f"Serving on http://127.0.0.1:{port}; ctrl-C ends it")
        self.stdout.flush()
        web = (sys.executable, "-m", "gunicorn", "-c", "python:config.gunicorn", "config.wsgi")
        jobs = (sys.executable, "manage.py", "jobs")
        status = together(
            [
                Process("web", web, {"BIND": f"127.0.0.1:{port}"}),
                Process("jobs", jobs),
            ]
        )
        if status:
            sys.exit(1)
