"""How this machine's Chromium is started by whatever needs one."""

import shutil

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def installed() -> str | None:
    """Where it is; None where it is not installed."""
    return shutil.which("chromium") or shutil.which("chromium-browser")
