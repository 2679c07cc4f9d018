"""Commands as a shell runs them: exit status, standard output, standard error."""

from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from unittest.mock import patch

from django.core.management import ManagementUtility

ONE_LINE = "Refused: "


@dataclass(frozen=True)
class Ran:
    status: int
    out: str
    err: str

    @property
    def refusal(self) -> str:
        """The one line of a refusal."""
        [line] = self.err.splitlines()
        assert (self.status, self.out) == (2, "")
        assert line.startswith(ONE_LINE)
        return line.removeprefix(ONE_LINE)


def shell(command: str, *argv: str) -> Ran:
    """Run a command in this process; its database connection is the test's and stays open."""
    out, err, status = StringIO(), StringIO(), 0
    with (
        redirect_stdout(out),
        redirect_stderr(err),
        patch("django.core.management.base.connections.close_all"),
    ):
        try:
            found = ManagementUtility(["manage.py"]).fetch_command(command)
            found.run_from_argv(["manage.py", command, *argv])
        except SystemExit as left:
            status = left.code
    return Ran(status, out.getvalue(), err.getvalue())
