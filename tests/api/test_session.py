"""A browser that has signed in: who is told of, how long it lasts, whose pages may ask."""

from datetime import timedelta

import pytest
import time_machine
from django.contrib.sessions.models import Session
from rest_framework.test import APIClient

from accounts import sessions
from accounts.models import Account, Member
from tests import factories
from tests.api.cast import NOW, signed_in

SESSION, ME = "/api/v1/session", "/api/v1/me"


@pytest.fixture
def account(world):
    """The teacher's, without a password: it is signed in by the tests themselves."""
    teacher = world.members["teacher"]
    teacher.account = Account.objects.create_user("teacher@lantern.example")
    teacher.save()
    return teacher.account


@pytest.fixture
def browser(account):
    return signed_in(account)


def elsewhere(account, **said):
    """The same person, as one of the staff of another school."""
    school = factories.SchoolFactory(name="Aldergate School of Dance")
    return factories.MemberFactory(school=school, account=account, name="Tendai R.", **said)


def at(moment):
    return time_machine.travel(moment, tick=False)


def test_nobody_is_signed_in_and_gets_the_token_of_a_page(world, as_nobody):
    answer = as_nobody.get(SESSION)
    assert answer.json() == {"signed_in": False, "email": None, "members": [], "coming": []}
    assert answer.cookies.keys() == {"csrftoken"}
    assert answer.headers["Cache-Control"] == "no-store"
    assert not Session.objects.exists()


def test_who_is_signed_in_and_for_whom_she_may_ask(world, account, browser):
    other = elsewhere(account)
    ended = NOW.date() - timedelta(days=3)
    gone = factories.MemberFactory(
        school=world.members["stranger"].school, account=account, name="T. R.", until=ended
    )
    assert browser.get(SESSION).json() == {
        "signed_in": True,
        "email": "teacher@lantern.example",
        "members": [
            {
                "member": str(row.id),
                "name": row.name,
                "role": row.role,
                "school": str(row.school_id),
                "school_name": row.school.name,
                "until": "2026-03-07" if row == gone else None,
                "ended": row == gone,
            }
            for row in (other, world.members["teacher"], gone)
        ],
        "coming": [],
    }
    Member.objects.filter(id=other.id).update(revoked_at=NOW)
    assert len(browser.get(SESSION).json()["members"]) == 2


def test_a_school_is_told_of_before_her_first_day(world, account, browser):
    day = NOW.date() + timedelta(days=3)
    Member.objects.filter(id=world.members["teacher"].id).update(from_date=day)
    elsewhere(account, from_date=day + timedelta(days=1), revoked_at=NOW)
    said = browser.get(SESSION).json()
    school = world.members["teacher"].school.name
    assert (said["signed_in"], said["members"]) == (True, [])
    assert said["coming"] == [{"school_name": school, "from": "2026-03-13"}]
    Member.objects.filter(id=world.members["teacher"].id).update(from_date=NOW.date())
    said = browser.get(SESSION).json()
    assert ([one["school_name"] for one in said["members"]], said["coming"]) == ([school], [])


def test_a_token_is_no_session(world, as_head):
    assert as_head.get(SESSION).json()["signed_in"] is False
    refused = as_head.put(SESSION, {"stay": True}, format="json")
    assert (refused.status_code, refused.headers["WWW-Authenticate"]) == (401, "Token")


class TestForWhom:
    def test_the_only_one_is_meant_without_a_word(self, world, browser):
        assert browser.get(ME).json()["member"] == str(world.members["teacher"].id)

    def test_of_several_one_has_to_be_named(self, world, account, browser):
        other = elsewhere(account)
        refused = browser.get(ME)
        assert (refused.status_code, refused.json()["code"]) == (409, "other_member")
        assert "X-Member" in refused.json()["detail"]
        for member in (other, world.members["teacher"]):
            said = browser.get(ME, headers={"X-Member": str(member.id)})
            assert said.json()["member"] == str(member.id)

    def test_somebody_elses_is_answered_like_nobodys(self, world, browser):
        answers = [
            browser.get(ME, headers={"X-Member": str(named)})
            for named in (world.members["head"].id, world.members["stranger"].id, world.own.lesson)
        ]
        assert {answer.status_code for answer in answers} == {409}
        assert len({answer.content for answer in answers}) == 1
        assert answers[0].json()["code"] == "other_member"

    @pytest.mark.parametrize("said", ["", "x", "a b", "\xff", "0" * 400])
    def test_what_is_no_member(self, browser, said):
        refused = browser.get(ME, headers={"X-Member": said})
        assert (refused.status_code, refused.json()["code"]) == (409, "other_member")

    def test_a_token_asks_for_its_own_member_whatever_is_said(self, world, as_head):
        answer = as_head.get(ME, headers={"X-Member": str(world.members["teacher"].id)})
        assert answer.json()["member"] == str(world.members["head"].id)

    def test_the_address_of_a_page_for_print_may_say_it(self, world, account, browser):
        other, teacher = elsewhere(account), world.members["teacher"]
        page = f"/api/v1/lessons/{world.own.lesson}/sheet.html"
        answer = browser.get(page, {"member": str(teacher.id)})
        assert (answer.status_code, answer.headers["Content-Type"]) == (
            200,
            "text/html; charset=utf-8",
        )
        assert browser.get(page, {"member": str(other.id)}).status_code == 404
        for said in ({}, {"member": str(world.members["head"].id)}, {"member": "x"}):
            refused = browser.get(page, said)
            assert (refused.status_code, refused.json()["code"]) == (409, "other_member")
        headers = {"X-Member": str(other.id)}
        assert browser.get(page, {"member": str(teacher.id)}, headers=headers).status_code == 404

    def test_no_other_address_says_it(self, world, account, browser):
        elsewhere(account)
        refused = browser.get(ME, {"member": str(world.members["teacher"].id)})
        assert (refused.status_code, refused.json()["code"]) == (409, "other_member")

    def test_answers_to_several_are_kept_apart(self, browser):
        assert browser.get(ME).headers["Vary"].startswith("Authorization, Cookie, X-Member")


class TestAccess:
    def test_taken_away_it_ends_with_the_next_request(self, world, browser):
        Member.objects.filter(id=world.members["teacher"].id).update(revoked_at=NOW)
        for headers in ({}, {"X-Member": str(world.members["teacher"].id)}):
            refused = browser.get(ME, headers=headers)
            assert (refused.status_code, refused.json()["code"]) == (401, "signed_out")
            assert refused.headers["WWW-Authenticate"] == "Token"

    def test_a_cover_teacher_hands_in_what_she_has_left(self, world, browser):
        member = world.members["teacher"]
        Member.objects.filter(id=member.id).update(until=NOW.date() - timedelta(days=1))
        for headers in ({}, {"X-Member": str(member.id)}):
            assert browser.get(ME, headers=headers).status_code == 401
            handed_in = browser.post(
                "/api/v1/attempts/batch", {"rows": []}, format="json", headers=headers
            )
            assert handed_in.status_code == 200

    def test_where_one_has_ended_the_other_is_meant(self, world, account, browser):
        other = elsewhere(account)
        Member.objects.filter(id=world.members["teacher"].id).update(revoked_at=NOW)
        assert browser.get(ME).json()["member"] == str(other.id)

    def test_an_account_that_is_closed_is_nobodys(self, account, browser):
        account.is_active = False
        account.save()
        assert browser.get(ME).status_code == 401
        assert browser.get(SESSION).json()["signed_in"] is False


class TestHowLong:
    def stay(self, browser, stay):
        answer = browser.put(SESSION, {"stay": stay}, format="json")
        assert (answer.status_code, answer.json()["signed_in"]) == (200, True)
        return answer.cookies["sessionid"]["max-age"]

    def test_twelve_hours_without_a_request(self, browser):
        assert self.stay(browser, False) == 12 * 3600
        with at(NOW + timedelta(hours=11, minutes=59)):
            assert browser.get(ME).status_code == 200
        with at(NOW + timedelta(hours=23, minutes=58)):
            assert browser.get(ME).status_code == 200
        with at(NOW + timedelta(hours=36)):
            assert browser.get(ME).status_code == 401

    def test_four_weeks_without_a_request_on_her_own_phone(self, browser):
        assert self.stay(browser, True) == 28 * 24 * 3600
        for day in (27, 54, 81):
            with at(NOW + timedelta(days=day)):
                assert browser.get(ME).status_code == 200
        with at(NOW + timedelta(days=109, seconds=1)):
            assert browser.get(ME).status_code == 401

    def test_she_may_think_again(self, browser):
        self.stay(browser, True)
        assert self.stay(browser, False) == 12 * 3600

    def test_it_is_written_once_an_hour(self, browser):
        self.stay(browser, False)
        written = []
        for minutes in (1, 59, 60, 61, 119, 120):
            with at(NOW + timedelta(minutes=minutes)):
                written.append("sessionid" in browser.get(ME).cookies)
        assert written == [False, False, True, False, False, True]

    def test_what_has_run_out_is_deleted(self, browser):
        self.stay(browser, False)
        assert sessions.forget(now=NOW + timedelta(hours=11)) == 0
        assert sessions.forget(now=NOW + timedelta(hours=13)) == 1
        assert browser.get(ME).status_code == 401


class TestWhosePage:
    def test_a_page_of_others_changes_nothing(self, world, account):
        browser = APIClient(enforce_csrf_checks=True)
        browser.force_login(account)
        said = {"class": world.own.klass, "on": "2026-03-14"}
        refused = browser.post("/api/v1/lessons", said, format="json")
        assert (refused.status_code, refused.json()["code"]) == (403, "csrf_failed")
        assert refused.headers["Content-Type"] == "application/problem+json"
        assert browser.get(ME).status_code == 200

    def test_a_token_that_was_made_up(self, browser):
        browser.credentials(HTTP_X_CSRFTOKEN="x" * 32)
        refused = browser.put(SESSION, {"stay": True}, format="json")
        assert (refused.status_code, refused.json()["code"]) == (403, "csrf_failed")

    def test_another_origin(self, browser):
        refused = browser.put(
            SESSION, {"stay": True}, format="json", headers={"Origin": "https://elsewhere.example"}
        )
        assert (refused.status_code, refused.json()["code"]) == (403, "csrf_failed")

    def test_no_page_elsewhere_may_read_an_answer(self, browser):
        answer = browser.get(ME, headers={"Origin": "https://elsewhere.example"})
        assert not [name for name in answer.headers if name.startswith("Access-Control")]
