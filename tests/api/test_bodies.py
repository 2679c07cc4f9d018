"""What is sent: clear JSON within bounds, fields of exactly their types, files as bytes."""

import json

import pytest
from django.test import override_settings

from api.parsers import MOST_JSON
from tests.api.probes import errors, post


@pytest.fixture(autouse=True)
def here():
    with override_settings(ROOT_URLCONF="tests.api.probes"):
        yield


class TestBodies:
    @pytest.mark.parametrize(
        ("body", "place", "detail"),
        [
            ('{"rows": []', "", "not JSON: Expecting ',' delimiter (line 1, column 12)"),
            ('{"rows": [], "rows": []}', "/rows", 'the key "rows" is given twice in one object'),
            ('{"rows": NaN}', "/rows", "NaN is not a JSON number"),
            ('{"rows": -Infinity}', "/rows", "-Infinity is not a JSON number"),
            ('{"rows": 1e999}', "/rows", "a number too large"),
            ('{"rows": ' + "1" * 5000 + "}", "/rows", "a number of 5000 digits"),
            ("[" * 100_000, "", "nested deeper than 20"),
            ('{"rows": ' * 30 + "1" + "}" * 30, "", "nested deeper than 20"),
            ('{"rows": "\\u0000"}', "/rows", "a text with NUL or half a surrogate pair"),
            ('{"rows": "\\ud800"}', "/rows", "a text with NUL or half a surrogate pair"),
            ('{"\\udfff": 1}', "", "a text with NUL or half a surrogate pair"),
            (b"\xff\xfe", "", "not UTF-8 at byte 0"),
        ],
    )
    def test_a_body_that_is_no_clear_json(self, as_head, body, place, detail):
        response = post(as_head, body)
        assert response.status_code == 400
        assert errors(response) == [(place, "invalid", detail)]
        assert response["Content-Type"] == "application/problem+json"

    def test_a_body_that_is_no_object(self, as_head):
        response = post(as_head, "[]")
        assert (response.status_code, response.json()["code"]) == (400, "invalid")
        assert response.json()["detail"] == "the body should be a JSON object"

    def test_brackets_inside_a_text_are_no_depth(self, as_head):
        body = json.dumps({"rows": [{"inner": "[" * 50 + '\\"' + "{" * 50}]})
        assert post(as_head, body).status_code == 200

    def test_a_body_that_is_too_large(self, as_head):
        response = post(as_head, '{"rows": "' + "x" * MOST_JSON + '"}')
        assert (response.status_code, response.json()["code"]) == (413, "too_large")

    @pytest.mark.parametrize(
        "kind", ["text/plain", "application/xml", "application/json; charset=utf-16"]
    )
    def test_a_body_of_another_kind(self, as_head, kind):
        assert post(as_head, "{}", content_type=kind).status_code == 415

    def test_only_json_is_answered(self, as_head):
        assert as_head.get("/probe", headers={"Accept": "text/html"}).status_code == 406

    def test_every_field_that_is_wrong_is_named(self, as_head):
        said = {
            "text": "longer",
            "key": "Upper",
            "kind": "c",
            "id": "1",
            "whole": 10,
            "figure": "1",
            "flag": "true",
            "day": "2026-02-30",
            "moment": "2026-03-10T17:00:00",
            "more": 1,
        }
        rows = [{}, {"more": 1, "le/ss": 2}, said]
        found = errors(post(as_head, json.dumps({"rows": rows})))
        assert len(found) == 2 + len(said)
        assert ("/rows/1/more", "unknown_field", "No such field.") in found
        assert ("/rows/1/le~1ss", "unknown_field", "No such field.") in found

        del said["more"]
        found = errors(post(as_head, json.dumps({"rows": [said]})))
        assert [place for place, *_ in found] == [f"/rows/0/{name}" for name in said]

    @pytest.mark.parametrize(
        ("name", "value"),
        [
            ("text", 1),
            ("text", True),
            ("text", None),
            ("key", 1),
            ("kind", 1),
            ("kind", ["a"]),
            ("kind", {}),
            ("id", 7),
            ("id", "0" * 32),
            ("whole", True),
            ("whole", 1.0),
            ("whole", "1"),
            ("whole", -1),
            ("whole", 10**30),
            ("figure", True),
            ("figure", 1e13),
            ("flag", 1),
            ("flag", "false"),
            ("flag", []),
            ("day", "0001-01-01"),
            ("day", "9999-12-31"),
            ("day", "20260310"),
            ("day", 1),
            ("moment", "0001-01-01T00:00:00Z"),
            ("moment", "9999-12-31T23:59:59Z"),
            ("moment", 5),
            ("moment", "2026-03-10"),
            ("moment", "2026-03-10T17:00"),
        ],
    )
    def test_nothing_is_coerced(self, as_head, name, value):
        response = post(as_head, json.dumps({"rows": [{name: value}]}))
        assert [place for place, *_ in errors(response)] == [f"/rows/0/{name}"]

    def test_what_is_right_goes_through(self, as_head):
        said = {
            "text": "ab",
            "key": "seat",
            "kind": "a",
            "whole": 0,
            "figure": 2,
            "flag": False,
            "id": "00000000-0000-4000-8000-000000000000",
            "day": "2026-03-10",
            "moment": "2026-03-10T18:00:00+01:00",
        }
        response = post(as_head, json.dumps({"rows": [said]}))
        answered = said | {"figure": 2.0, "moment": "2026-03-10T17:00:00Z"}
        assert response.json() == {"rows": [answered]}
        assert response["ETag"] == '"v3"'

    def test_a_query_is_checked_too(self, as_head):
        assert as_head.get("/probe?most=3&wide=true").json()["asked"] == {"most": 3, "wide": True}
        assert errors(as_head.get("/probe?most=2&less=1")) == [
            ("less", "unknown_parameter", "No such parameter.")
        ]
        assert errors(as_head.get("/probe?most=x&wide=1")) == [
            ("most", "invalid", "A valid integer is required."),
            ("wide", "invalid", "Must be a valid boolean."),
        ]

    def test_a_file_comes_as_bytes(self, as_head):
        assert post(as_head, b"a;b\n", "text/csv", "/files").json() == {"whole": 4}
        assert post(as_head, b"", "text/csv", "/files").json() == {"whole": 0}
        assert post(as_head, b"{}", "application/json", "/files").status_code == 415
        assert post(as_head, b"x" * 3_000_000, "text/csv", "/files").status_code == 413
