"""The key that signs what goes out and comes back, where nobody has set one."""

import os
import secrets
from contextlib import suppress
from pathlib import Path
from tempfile import NamedTemporaryFile


def kept(path: Path) -> str:
    """This will read the key of this machine, and make it first where there is none.

    Its owner alone may read it. Of several processes that start at once all get the same.
    """
    if not path.exists():
        path.parent.mkdir(exist_ok=True)
        with NamedTemporaryFile("w", dir=path.parent) as made:
            made.write(secrets.token_urlsafe(64))
            made.flush()
            with suppress(FileExistsError):
                os.link(made.name, path)
    return path.read_text()
