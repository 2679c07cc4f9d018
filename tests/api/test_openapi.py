"""The contract: committed as it is served, and valid for a validator that is none of ours."""

import json
import warnings
from pathlib import Path

import pytest
from drf_spectacular.generators import SchemaGenerator
from openapi_spec_validator import OpenAPIV31SpecValidator

from tests.api.test_rights import ROWS

COMMITTED = Path(__file__).parents[2] / "docs" / "openapi.json"


@pytest.fixture(scope="module")
def contract():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        return json.loads(json.dumps(SchemaGenerator().get_schema(request=None, public=True)))


def test_it_stands_in_the_docs_as_it_is_served(contract):
    # `make openapi` writes it anew.
    assert json.loads(COMMITTED.read_text(encoding="utf-8")) == contract


def test_an_outside_validator_finds_nothing(contract):
    # openapi-spec-validator, for the published schema of OpenAPI 3.1
    assert contract["openapi"] == "3.1.1"
    assert list(OpenAPIV31SpecValidator(contract).iter_errors()) == []


def test_making_it_warns_of_nothing(capsys):
    SchemaGenerator().get_schema(request=None, public=True)
    assert capsys.readouterr().err == ""


def test_every_route_is_told_of_with_its_refusals(contract):
    told = {
        (method.upper(), operation["operationId"])
        for item in contract["paths"].values()
        for method, operation in item.items()
    }
    assert len({name for _, name in told}) == len(told)
    assert len(told) == len([row for row in ROWS if row.api])
    for item in contract["paths"].values():
        for method, operation in item.items():
            assert operation["description"] or method == "parameters", operation["operationId"]
            refused = {status for status in operation["responses"] if status >= "400"}
            assert {"400", "401", "403", "404", "429", "503"} <= refused
            for status in refused:
                name = operation["responses"][status]["$ref"].rpartition("/")[2]
                content = contract["components"]["responses"][name]["content"]
                assert list(content) == ["application/problem+json"]
