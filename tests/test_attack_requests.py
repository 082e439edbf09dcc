"""Attacks by odd requests: signing in, damaged or oversized forms, a database that refuses, and what is logged."""

import logging
from datetime import datetime
from typing import Any
from unittest.mock import patch

import pytest
from django.contrib.sessions.exceptions import SessionInterrupted
from django.db import InterfaceError, OperationalError, connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from coachdesk.practice import services
from coachdesk.practice.models import Membership, SignInAttempt
from coachdesk.practice.turns import DeskBusy
from coachdesk.redact import NoTokens
from coachdesk.views import bad_request
from tests.factories.practice import MembershipFactory, UserFactory
from tests.test_attack_undo import at_once

PASSWORD = "a long enough sentence"
FORM = "application/x-www-form-urlencoded"


@pytest.mark.parametrize(
    "wanted", ["foo", "clients", "a b", "?a=1", "\\x", "#x", "admin", "practice:sign_out", "http:///x", "", "x" * 3000]
)
@pytest.mark.django_db
def test_next_that_is_no_path_leads_to_the_roster(wanted: str) -> None:
    MembershipFactory(user=UserFactory(email="ana@example.org", password=PASSWORD))
    answer = Browser().post("/sign-in/", {"email": "ana@example.org", "password": PASSWORD, "next": wanted})
    assert (answer.status_code, answer["Location"]) == (302, "/")


@pytest.mark.django_db(transaction=True)
def test_tries_sent_all_at_once_count_each_other(now: datetime, rf: Any) -> None:
    request = rf.post("/sign-in/")

    def guess() -> None:
        services.sign_in(request=request, email="ana@example.org", password="wrong", now=now)

    with patch("coachdesk.practice.services.authenticate", return_value=None) as hashing:
        found = at_once(*[guess] * 30)
    assert {type(one) for one in found} == {services.SignInRefused}
    assert hashing.call_count <= services.MOST_TRIES
    assert SignInAttempt.objects.count() == hashing.call_count


@pytest.mark.django_db
def test_signing_in_leaves_no_failed_try_behind() -> None:
    MembershipFactory(user=UserFactory(email="ana@example.org", password=PASSWORD))
    for _ in range(services.MOST_TRIES + 2):
        typed = {"email": "ana@example.org", "password": PASSWORD}
        assert Browser().post("/sign-in/", typed).status_code == 302
    assert not SignInAttempt.objects.exists()


@pytest.mark.parametrize(
    ("body", "kind", "status", "words"),
    [
        ("&".join(f"f{n}=1" for n in range(1001)), FORM, 413, "more than a form may hold"),
        ("name=" + "a" * (5 * 1024 * 1024 + 1), FORM, 413, "more than a form may hold"),
        ("name=x", f"{FORM}; charset=utf-7", 400, "cannot read this request"),
        ("name=x", "multipart/form-data", 400, "cannot read this request"),
    ],
    ids=["fields", "bytes", "charset", "boundary"],
)
@pytest.mark.parametrize("path", ["/places/new/", "/sign-in/"])
def test_a_form_that_cannot_be_read_is_said_so_in_words(
    as_coach: Browser, body: str, kind: str, status: int, words: str, path: str
) -> None:
    guarded = Browser(enforce_csrf_checks=True, raise_request_exception=False)
    guarded.cookies.update(as_coach.cookies)
    guarded.get("/sign-in/")  # for the cookie of the CSRF check, which reads the form first
    answer = guarded.generic("POST", path, body, content_type=kind)
    assert answer.status_code == status
    assert words in answer.content.decode()
    assert "default-src 'none'" in answer["Content-Security-Policy"]


def test_a_foreign_host_is_told_nothing(anonymous: Browser) -> None:
    answer = anonymous.get("/", headers={"host": "evil.example"})
    assert answer.status_code == 400
    assert "evil" not in answer.content.decode()
    assert "default-src 'none'" in answer["Content-Security-Policy"]


@pytest.mark.parametrize(
    "problem", [OperationalError("database is locked"), InterfaceError("closed"), DeskBusy("the desk is locked")]
)
def test_a_database_that_refuses_is_a_503_that_says_so(as_coach: Browser, problem: Exception) -> None:
    as_coach.raise_request_exception = False
    with patch("clients.services.places.write", side_effect=problem):
        answer = as_coach.post("/places/new/", {"name": "Barn"})
    assert (answer.status_code, answer["Retry-After"]) == (503, "5")
    assert "does not take changes just now" in answer.content.decode()
    assert "locked" not in answer.content.decode()


def test_saying_what_was_saved_needs_no_second_write(as_coach: Browser) -> None:
    with CaptureQueriesContext(connection) as sent:
        assert as_coach.post("/places/new/", {"name": "Barn"}).status_code == 302
        page = as_coach.get("/places/").content.decode()
    assert "Barn is added." in page
    assert not [one["sql"] for one in sent if "django_session" in one["sql"] and not one["sql"].startswith("SELECT")]


def test_a_session_that_cannot_be_saved_is_the_databases_fault(rf: Any) -> None:
    ended = SessionInterrupted("The session was deleted before the request completed.")
    assert bad_request(rf.get("/"), ended).status_code == 400
    ended.__context__ = OperationalError("database or disk is full")
    assert bad_request(rf.get("/"), ended).status_code == 503


def test_a_fault_of_the_desk_stays_a_500_without_its_cause(as_coach: Browser) -> None:
    as_coach.raise_request_exception = False
    with patch("clients.services.places.write", side_effect=RuntimeError("secret words")):
        answer = as_coach.post("/places/new/", {"name": "Barn"})
    assert answer.status_code == 500
    assert "secret words" not in answer.content.decode()


def test_a_signed_in_page_is_kept_by_nobody_else(as_coach: Browser, anonymous: Browser) -> None:
    assert as_coach.get("/clients/")["Cache-Control"] == "private, no-cache"
    assert not anonymous.get("/sign-in/").has_header("Cache-Control")


def test_a_refused_press_does_not_put_the_link_into_the_log(desk: Membership) -> None:
    token = services.make_sign_in_link(user=desk.user, now=timezone.now())
    said: list[str] = []

    class Kept(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            said.append(record.getMessage())

    handler = Kept()
    handler.addFilter(NoTokens())
    logging.getLogger().addHandler(handler)
    try:
        # Without its cookie the press is refused, but the link still works.
        assert Browser(enforce_csrf_checks=True).post(f"/sign-in/{token}/").status_code == 403
    finally:
        logging.getLogger().removeHandler(handler)
    assert any("/sign-in/(token)/" in words for words in said)
    assert not any(token in words for words in said)
    assert services.use_sign_in_link(token=token, now=timezone.now()) == desk.user


def test_the_desk_logs_through_that_filter() -> None:
    filters = [one for handler in logging.getLogger().handlers for one in handler.filters]
    assert any(isinstance(one, NoTokens) for one in filters)
