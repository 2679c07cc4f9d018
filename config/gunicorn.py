"""How the web server runs: `gunicorn -c python:config.gunicorn config.wsgi`.

Threads, since a proposal of groups computes for a while; the solver lets the others go on.
"""

import gc
import os

from django.urls import get_resolver

from config.logs import LOGGING

bind = os.environ.get("BIND", "127.0.0.1:8000")
workers = int(os.environ.get("WEB_WORKERS", "1"))
worker_class = "gthread"
threads = int(os.environ.get("WEB_THREADS", "4"))
timeout = 60
graceful_timeout = 20
max_requests = 10_000
max_requests_jitter = 1_000
control_socket_disable = True
logconfig_dict = LOGGING


def post_worker_init(worker):
    """What was loaded stays, the routes with it: it is not looked through for garbage whenever an
    answer is large, which would take a fifth of its time."""
    _ = get_resolver().url_patterns
    gc.freeze()
