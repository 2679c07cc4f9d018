"""What all routes share: who asks, refusals, pages, versions, counts of requests."""

from datetime import timedelta
from types import SimpleNamespace

import pytest
import time_machine
from django.test import override_settings
from rest_framework.test import APIClient

from accounts import rates
from accounts.models import MemberStudio, Rate, Token
from tests.api import cast
from tests.api.probes import errors, post


@pytest.fixture(autouse=True)
def here():
    with override_settings(ROOT_URLCONF="tests.api.probes"):
        yield


class TestWhoAsks:
    def test_the_member_of_the_token_asks(self, world, as_teacher):
        assert as_teacher.get("/probe").json()["who"] == str(world.members["teacher"].id)

    @pytest.mark.parametrize(
        "said", [None, "Token", "Token x", "Token a b", "Token \xff", "Bearer x", "Basic eDp4"]
    )
    def test_nobody_is_told_to_sign_in(self, world, said):
        client = APIClient()
        if said:
            client.credentials(HTTP_AUTHORIZATION=said)
        response = client.get("/probe")
        assert response.status_code == 401
        assert response["WWW-Authenticate"] == "Token"
        assert response["Content-Type"] == "application/problem+json"
        assert response.json()["code"] == "signed_out"

    def test_a_token_ends(self, world, as_teacher):
        with time_machine.travel(cast.NOW + timedelta(days=89), tick=False):
            assert as_teacher.get("/probe").status_code == 200
        with time_machine.travel(cast.NOW + timedelta(days=91), tick=False):
            assert as_teacher.get("/probe").status_code == 401

    def test_a_token_is_kept_as_a_hash(self, world, as_teacher):
        text = as_teacher._credentials["HTTP_AUTHORIZATION"].removeprefix("Token ")
        kept = Token.objects.get(member=world.members["teacher"])
        assert text not in kept.digest
        assert len(text) == 64

    def test_access_taken_away_ends_with_the_next_request(self, world, as_teacher):
        member = world.members["teacher"]
        member.revoked_at = cast.NOW
        member.save()
        assert as_teacher.get("/probe").status_code == 401
        assert as_teacher.get("/late").status_code == 401

    def test_who_has_left_may_still_hand_in_what_she_has(self, world, as_teacher):
        member = world.members["teacher"]
        member.until = cast.NOW.date() - timedelta(days=1)
        member.save()
        assert as_teacher.get("/probe").status_code == 401
        assert as_teacher.get("/late").status_code == 200

    def test_a_studio_that_ended_is_seen_no_more(self, world):
        MemberStudio.objects.filter(member=world.members["teacher"]).update(ended_at=cast.NOW)
        assert world.scope("teacher").studio_ids == frozenset()


class TestRefusals:
    @pytest.fixture(autouse=True)
    def closed(self, monkeypatch):
        """How often the connection was closed; really closed, it would take the cast along."""
        calls = []
        monkeypatch.setattr("api.errors.connection", SimpleNamespace(close=lambda: calls.append(1)))
        return calls

    @pytest.mark.parametrize(
        ("what", "status", "code", "detail"),
        [
            ("unknown", 404, "unknown", "no such lesson"),
            ("not_allowed", 403, "not_allowed", "a teacher's right"),
            ("stale", 412, "stale", "somebody else was quicker"),
            ("conflict", 409, "conflict", "the last head teacher stays"),
            ("away", 503, "unavailable", "Away for a moment"),
        ],
    )
    def test_each_refusal_is_a_problem(self, as_head, what, status, code, detail):
        response = as_head.get(f"/raises/{what}")
        said = response.json()
        assert (response.status_code, said["status"]) == (status, status)
        assert (said["code"], said["detail"], said["type"]) == (code, detail, "about:blank")
        assert response["Cache-Control"] == "no-store"

    def test_the_database_may_be_asked_again_later(self, as_head, caplog, closed):
        assert as_head.get("/raises/away")["Retry-After"] == "5"
        assert closed == [1]
        assert "Amparo" not in caplog.text

    def test_faults_stand_at_their_places(self, as_head):
        assert errors(as_head.get("/raises/faults")) == [
            ("/rows/3/skill", "invalid", "unknown"),
            ("", "invalid", "row 4: no date"),
        ]

    def test_an_unknown_id_in_a_body_tells_nothing_more(self, as_head):
        response = as_head.get("/inside")
        assert response.status_code == 400
        assert errors(response) == [("/student", "invalid", "unknown")]

    def test_no_route(self, as_head):
        response = as_head.get("/nowhere")
        assert (response.status_code, response.json()["code"]) == (404, "unknown")

    def test_no_method(self, as_head):
        assert as_head.delete("/probe").json()["code"] == "method"

    def test_what_nobody_foresaw_tells_nothing(self, as_head):
        as_head.raise_request_exception = False
        response = as_head.get("/broken")
        assert (response.status_code, response.json()["code"]) == (500, "broken")
        assert b"Amparo" not in response.content


class TestVersionsAndPages:
    def test_a_document_that_has_not_changed_is_not_sent_again(self, as_head):
        first = as_head.get("/probe")
        again = as_head.get("/probe", headers={"If-None-Match": f'"x", W/{first["ETag"]}'})
        assert (again.status_code, again.content) == (304, b"")
        assert again["ETag"] == first["ETag"]
        assert first["Cache-Control"] == "private, no-cache"
        other = as_head.get("/probe?most=1", headers={"If-None-Match": first["ETag"]})
        assert other.status_code == 200

    @pytest.mark.parametrize(
        ("said", "status"),
        [(None, 428), ("v1", 412), ("*", 412), ('W/"v7"', 200), ('"v-1"', 412), ('"v7"', 200)],
    )
    def test_a_change_says_which_version_it_is_of(self, as_head, said, status):
        headers = {"If-Match": said} if said else {}
        response = as_head.put("/probe", headers=headers)
        assert response.status_code == status
        assert status != 200 or response.json() == {"whole": 7}

    def test_pages_follow_each_other_without_gap_or_repeat(self, as_head):
        seen, following = [], ""
        while following is not None:
            page = as_head.get(f"/listed?limit=2{following}").json()
            seen += [row["text"] for row in page["rows"]]
            following = page["next"] and f"&cursor={page['next']}"
        assert seen == ["t0", "t1", "t2", "t3", "t4"]

    @pytest.mark.parametrize(
        "cursor",
        ["x", "W10", "WzFd", "WyJcdTAwMDAiXQ", "W251bGxd", "eyJhIjoxfQ", "%F0%9F%92%A9"],
    )
    def test_a_cursor_that_was_never_handed_out(self, as_head, cursor):
        assert as_head.get(f"/listed?cursor={cursor}").status_code == 404

    @pytest.mark.parametrize("limit", ["0", "501", "-1", "x", "1e3", "9" * 400])
    def test_a_limit_that_cannot_be(self, as_head, limit):
        assert [place for place, *_ in errors(as_head.get(f"/listed?limit={limit}"))] == ["limit"]


class TestHowOften:
    def test_the_third_of_two_a_minute_waits(self, as_head):
        body = '{"rows": []}'
        assert [post(as_head, body, to="/slow").status_code for _ in range(3)] == [200, 200, 429]
        refused = post(as_head, body, to="/slow")
        assert (refused["Retry-After"], refused.json()["code"]) == ("60", "too_many")
        assert as_head.get("/slow").status_code == 200
        with time_machine.travel(cast.NOW + timedelta(minutes=1), tick=False):
            assert post(as_head, body, to="/slow").status_code == 200

    def test_members_are_counted_apart(self, as_head, as_teacher):
        for client in (as_head, as_teacher):
            codes = [post(client, '{"rows": []}', to="/slow").status_code for _ in range(3)]
            assert codes == [200, 200, 429]

    def test_old_counts_are_forgotten(self, db):
        rates.count(who="a", now=cast.NOW)
        rates.count(who="a", now=cast.NOW - timedelta(minutes=11))
        assert rates.forget(now=cast.NOW) == 1
        assert list(Rate.objects.values_list("minute", "count")) == [
            (cast.NOW.replace(second=0, microsecond=0), 1)
        ]
