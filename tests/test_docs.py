"""The pages keep their word: links lead somewhere, examples are what the commands take."""

import json
import re
from pathlib import Path

import pytest
from django.urls import resolve

from api import batches, errors, groups, pages, parsers
from api.attempts import AttemptsBatch
from api.sheets import PairTable
from api.throttling import A_MINUTE, MEMBER
from classes.attempts import STATUSES
from classes.flags import FLAGS
from engine.grouping import command
from engine.readiness.prerequisites import run_combine
from engine.readiness.trace import run_trace

ROOT = Path(__file__).parents[1]
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")])


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_somewhere(page):
    links = re.findall(r"\]\(([^)#\s]+)", page.read_text(encoding="utf-8"))
    missing = [link for link in links if "://" not in link and not (page.parent / link).exists()]
    assert missing == []


def blocks(name):
    text = (ROOT / "docs" / "formats" / name).read_text(encoding="utf-8")
    return re.findall(r"```json\n(.*?)```", text, re.DOTALL)


def test_the_examples_of_the_readiness_page_are_answered():
    trace, tree = blocks("readiness.md")
    answer = json.loads(run_trace(trace))
    # Knowledge tracing by hand: .4 * .9 / (.4 * .9 + .6 * .2) = .75, then .75 + .25 * .2 = .8.
    assert answer["steps"][0]["posterior"] == pytest.approx([0.25, 0.75], abs=1e-12)
    assert answer["now"] == pytest.approx([0.2, 0.8], abs=1e-12)
    assert json.loads(run_combine(tree))["decides"] == {"p": 0.7, "label": "headstand"}


def test_the_example_of_the_grouping_page_is_answered():
    (problem,) = blocks("grouping.md")
    answer = json.loads(command.run(problem))
    assert answer["status"] == "optimal"
    assert answer["groups"][0]["base"] == ["s1"]
    assert answer["groups"][0]["flyer"] == ["s2"]


def routes_named():
    for page in PAGES:
        for code in re.findall(r"`([A-Z ]+ [^`\s]*/[^`\s]+)`", page.read_text(encoding="utf-8")):
            *methods, address = code.split()
            for method in methods:
                yield pytest.param(method, address, id=f"{page.stem}: {method} {address}")


@pytest.mark.parametrize(("method", "address"), list(routes_named()))
def test_routes_that_pages_name_are_there(method, address):
    if address.startswith("_allauth"):
        assert resolve(f"/{address}")
        return
    contract = json.loads((ROOT / "docs" / "openapi.json").read_text(encoding="utf-8"))["paths"]
    known = {
        re.sub(r"{\w+}", "{}", path.removeprefix("/api/v1/"))
        for path, methods in contract.items()
        if method.lower() in methods
    }
    asked = re.sub(r"{\w+}", "{}", address.partition("?")[0]).removeprefix("/api/v1")
    if asked.startswith("…"):  # the beginning has been said
        assert any(path.endswith(asked.removeprefix("…")) for path in known)
    else:
        assert asked.removeprefix("/") in known


def test_what_is_said_of_every_route_holds():
    page = " ".join((ROOT / "docs" / "http.md").read_text(encoding="utf-8").split())
    rows = set(re.findall(r"\| (\d{3}) \| `(\w+)` \|", page))
    assert rows >= {(str(status), code) for status, code in errors.CODES.items()}
    for said in (
        f"at most {parsers.MOST_JSON // 1024} KB and {parsers.DEEPEST} deep",
        f"at most {parsers.MOST_FILE // 1024**2} MB",
        f"is {pages.USUAL} if not said and at most {pages.MOST}",
        f"{A_MINUTE[MEMBER]} changes a minute to each route, and {AttemptsBatch.a_minute} batches",
        f"at most {batches.MOST_ROWS} rows, and `/groups/batch` with at most"
        f" {groups.GroupBatch.most_rows}",
        *(f"`{one}`" for one in (*STATUSES, *FLAGS)),
    ):
        assert said in page


def test_the_example_of_the_pair_table_has_its_fields():
    (example,) = blocks("pair_table.md")
    assert json.loads(example).keys() == PairTable().fields.keys()


def test_every_command_of_the_readme_exists():
    commands = {
        path.stem for path in ROOT.glob("*/management/commands/*.py") if path.stem != "__init__"
    }
    named = set(re.findall(r"^cpoise (\w+)", (ROOT / "README.md").read_text(), re.MULTILINE))
    assert named <= commands


def test_every_command_that_loads_has_a_page():
    pages = "".join(
        page.read_text(encoding="utf-8") for page in (ROOT / "docs" / "formats").glob("*.md")
    )
    loaders = {path.stem for path in ROOT.glob("*/management/commands/load_*.py")}
    assert sorted(name for name in loaders if f"`{name}" not in pages) == []
