"""The settings with the bench's own bare views beside everything that is served."""

from config.settings import *  # noqa: F403

ROOT_URLCONF = "bench.urls"
