"""The real application behind a server that can be told to fail, by what a file says.

`500`, `html`, `refuse` (429), `hang`: without doing anything. `commit_then_500`,
`commit_then_hang`, `skip_last`, `turned` (answers in another order than rows were sent): after
everything was done. Only what a phone sends is failed.
"""

import json
import os
import time
from pathlib import Path

from config.wsgi import application as real

HANG_SECONDS = 20


def application(environ, start_response):
    mode = _mode()
    if not mode or environ["REQUEST_METHOD"] not in ("POST", "PATCH"):
        return real(environ, start_response)
    if "/api/v1/" not in environ["PATH_INFO"]:
        return real(environ, start_response)
    if mode == "500":
        return _answer(start_response, "500 Broken", "application/problem+json", b"{}")
    if mode == "html":
        return _answer(start_response, "200 OK", "text/html", b"<p>Sign in to this network</p>")
    if mode == "refuse":
        body = b'{"code": "too_many"}'
        return _answer(start_response, "429 Slow", "application/problem+json", body, "1")
    if mode == "hang":
        time.sleep(HANG_SECONDS)
        return _answer(start_response, "504 Late", "text/plain", b"")
    return _done(mode, environ, start_response)


def _mode():
    path = os.environ.get("FAULTS")
    return Path(path).read_text("utf-8").strip() if path and Path(path).exists() else ""


def _done(mode, environ, start_response):
    environ = environ | {"HTTP_ACCEPT_ENCODING": "identity"}
    head = {}

    def keep(status, headers, exc_info=None):
        head["status"], head["headers"] = status, headers

    answer = real(environ, keep)
    body = b"".join(answer)
    answer.close()
    if mode == "commit_then_hang":
        time.sleep(HANG_SECONDS)
    if mode in ("commit_then_hang", "commit_then_500"):
        return _answer(start_response, "500 Broken", "text/plain", b"")
    said = json.loads(body)
    said["rows"] = said["rows"][::-1] if mode == "turned" else said["rows"][:-1]
    return _answer(start_response, head["status"], "application/json", json.dumps(said).encode())


def _answer(start_response, status, content_type, body, retry_after=None):
    headers = [("Content-Type", content_type), ("Content-Length", str(len(body)))]
    if retry_after:
        headers.append(("Retry-After", retry_after))
    start_response(status, headers)
    return [body]
