"""axe-core in a page whose policy lets no script of a test in: by the browser's own debugger."""

import json
from functools import cache

from tests.browser.server import ROOT

SOURCE = ROOT / "web" / "node_modules" / "axe-core" / "axe.min.js"
TAGS = ("wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice")


@cache
def _source():
    return SOURCE.read_text("utf-8")


class Axe:
    """Finds what stands in somebody's way on a page."""

    def __init__(self, page):
        self._session = page.context.new_cdp_session(page)

    def findings(self, *rules: str) -> list[str]:
        """One line for each element at fault: the rule, and where. Of all rules, or of these."""
        only = {"type": "rule", "values": rules} if rules else {"type": "tag", "values": TAGS}
        self._evaluate(f"if (!window.axe) {{ {_source()} }}")
        found = self._evaluate(
            f"axe.run(document, {{runOnly: {json.dumps(only)}, resultTypes: ['violations']}})"
            ".then(({violations}) => JSON.stringify(violations.flatMap(({id, nodes}) =>"
            " nodes.map(({target, failureSummary}) =>"
            " `${id} ${target.join(' ')} ${failureSummary}`))))"
        )
        return json.loads(found["value"])

    def _evaluate(self, script):
        said = self._session.send(
            "Runtime.evaluate",
            {"expression": script, "awaitPromise": True, "returnByValue": True},
        )
        assert "exceptionDetails" not in said, said["exceptionDetails"]
        return said["result"]
