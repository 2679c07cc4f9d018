import os
import secrets
import sys
from pathlib import Path

import yaml
from django.conf import settings

from accounts.commands import PlainCommand, Refused
from config.management.commands.serve import TAKEN
from config.processes import Unset, is_free, of_compose, ports, run, together


class Command(PlainCommand):
    help = "Run what docker-compose.yml runs, here and without Docker, until it is stopped."

    def add_arguments(self, parser):
        parser.add_argument("--port", type=int, default=8000, choices=range(1, 65000), metavar="N")

    def handle(self, *args, port, **options):
        compose = yaml.safe_load((settings.BASE_DIR / "docker-compose.yml").read_text("utf-8"))
        # One's own machine: plain http, and a secret that lasts as long as the stack.
        said = {
            "HTTPS": "0",
            "BEHIND_PROXY": "0",
            "SECRET_KEY": secrets.token_urlsafe(64),
        } | os.environ
        path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ.get('PATH', '')}"
        try:
            first, then = of_compose(compose, environ=said, port=port, path=path)
        except Unset as error:
            raise Refused(str(error)) from None
        for one in ports(then):
            if not is_free(one):
                raise Refused(TAKEN.format(port=one, other=one + 10))
        for process in first:
            if run(process):
                raise Refused(f"{process.name} has failed")
        for process in then:
            where = process.env.get("BIND", "")
            self.stdout.write(f"{process.name}{where and ' on http://'}{where}")
        self.stdout.flush()
        if together(then):
            sys.exit(1)
