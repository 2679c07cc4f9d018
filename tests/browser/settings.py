"""The service as it is, with its files and the built client in the folder that `BUILT` names."""

import os
from pathlib import Path

from config.settings import *  # noqa: F403

WEB_BUILT = WHITENOISE_ROOT = Path(os.environ["BUILT"])
VAR_DIR = WEB_BUILT.parent
