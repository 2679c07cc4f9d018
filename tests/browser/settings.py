"""The service as it is, with the client out of the folder that `BUILT` names."""

import os
from pathlib import Path

from config.settings import *  # noqa: F403

WEB_BUILT = WHITENOISE_ROOT = Path(os.environ["BUILT"])
