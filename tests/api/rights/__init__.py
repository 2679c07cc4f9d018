"""The table of rights: every route, everybody, every place; one file for each noun."""

import importlib
import pkgutil

from tests.api.rights.table import Right

ROWS: list[Right] = [
    right
    for module in sorted(pkgutil.iter_modules(__path__), key=lambda one: one.name)
    if module.name not in ("table", "page")
    for right in importlib.import_module(f"{__name__}.{module.name}").RIGHTS
]
