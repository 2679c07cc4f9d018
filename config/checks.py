"""What the database server must promise; `manage.py check --deploy --database default` asks."""

from django.core.checks import Error, Tags, Warning, register
from django.db import connections

LEAKS = "A refused row, a child's, would stand in the server's log. See docs/install.md."
# What each setting should be; without it, something is lost or told.
WANTED = (
    (
        "synchronous_commit",
        ("on", "remote_apply", "remote_write", "local"),
        Error,
        "E001",
        ("A try that was acknowledged may be lost when the machine fails. See docs/install.md."),
    ),
    ("log_error_verbosity", ("terse",), Warning, "W001", LEAKS),
    ("log_min_error_statement", ("panic",), Warning, "W002", LEAKS),
)


@register(Tags.database, deploy=True)
def server_settings(app_configs, databases=None, **kwargs):
    """Each setting of PostgreSQL that is not as it should be."""
    found = []
    for alias in databases or ():
        if connections[alias].vendor != "postgresql":
            continue
        with connections[alias].cursor() as cursor:
            for name, wanted, kind, number, hint in WANTED:
                cursor.execute("SELECT current_setting(%s)", [name])
                [value] = cursor.fetchone()
                if value not in wanted:
                    text = f"PostgreSQL's {name} is {value}, not {wanted[0]}"
                    found.append(kind(text, hint=hint, id=f"config.{number}"))
    return found
