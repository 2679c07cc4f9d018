"""What a web server calls."""

import os

from django.core.wsgi import get_wsgi_application

# A request ends after seconds, a migration or a job may take its time: settings ask which it is.
os.environ["PROCESS"] = "web"
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

application = get_wsgi_application()

import config.urls  # noqa: E402, F401, so that the first request need not wait for it
