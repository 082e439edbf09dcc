"""Signing in by password: what opens the desk, what does not, and when it stops being tried."""

from datetime import datetime, timedelta
from unittest.mock import patch

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from coachdesk.practice import services
from coachdesk.practice.models import Membership, SignInAttempt
from tests.factories.practice import MembershipFactory, UserFactory

PASSWORD = "a long enough sentence"


@pytest.fixture
def member(db: None):
    return MembershipFactory(user=UserFactory(email="ana@example.org", password=PASSWORD))


def test_right_password_signs_in_and_goes_on_to_where_one_was_going(member, anonymous: Browser) -> None:
    typed = {"email": "ANA@example.org", "password": PASSWORD, "next": "/places/"}
    answer = anonymous.post("/sign-in/", typed)
    assert (answer.status_code, answer["Location"]) == (302, "/places/")
    assert anonymous.get("/places/").status_code == 200


@pytest.mark.parametrize(
    "place", ["https://evil.example/", "//evil.example/", "javascript:alert(1)", "/\\evil.example"]
)
def test_next_never_leads_to_another_host(member, anonymous: Browser, place: str) -> None:
    answer = anonymous.post("/sign-in/", {"email": "ana@example.org", "password": PASSWORD, "next": place})
    assert (answer.status_code, answer["Location"]) == (302, "/")


@pytest.mark.parametrize(
    ("email", "password"), [("ana@example.org", "wrong"), ("nobody@example.org", PASSWORD)], ids=["word", "who"]
)
def test_wrong_address_and_wrong_password_are_answered_alike(
    member,
    anonymous: Browser,
    email: str,
    password: str,
) -> None:
    answer = anonymous.post("/sign-in/", {"email": email, "password": password})
    assert answer.status_code == 422
    assert "This address and password do not open the desk" in answer.content.decode()
    assert email in answer.content.decode()
    assert "_auth_user_id" not in anonymous.session


def test_a_user_without_password_cannot_sign_in_by_one(anonymous: Browser) -> None:
    MembershipFactory(user=UserFactory(email="demo@example.org"))
    assert anonymous.post("/sign-in/", {"email": "demo@example.org", "password": "!"}).status_code == 422


def test_the_ninth_try_is_refused_before_any_hashing(member, anonymous: Browser) -> None:
    for _ in range(services.MOST_TRIES):
        assert anonymous.post("/sign-in/", {"email": "ana@example.org", "password": "wrong"}).status_code == 422
    with patch("coachdesk.practice.services.authenticate") as hashing:
        answer = anonymous.post("/sign-in/", {"email": "Ana@Example.org ", "password": PASSWORD})
    assert answer.status_code == 422
    assert "Wait 15 minutes" in answer.content.decode()
    assert not hashing.called


def test_tries_are_forgotten_after_fifteen_minutes(member, now: datetime, rf) -> None:
    for _ in range(services.MOST_TRIES):
        SignInAttempt.objects.create(email="ana@example.org", at=now)
    request = rf.post("/sign-in/")
    with pytest.raises(services.SignInRefused):
        services.sign_in(request=request, email="ana@example.org", password=PASSWORD, now=now)
    later = now + timedelta(minutes=15, seconds=1)
    user = services.sign_in(request=request, email="ana@example.org", password=PASSWORD, now=later)
    assert user == member.user


@pytest.mark.parametrize("email", ["", "no address", "a" * 300 + "@example.org", "a\x00b@example.org"])
def test_a_bad_address_is_an_error_at_its_field(anonymous: Browser, email: str) -> None:
    answer = anonymous.post("/sign-in/", {"email": email, "password": "x"})
    assert answer.status_code == 422
    assert answer.context["form"].errors["email"]


def test_a_page_asks_a_stranger_to_sign_in_and_remembers_where(anonymous: Browser) -> None:
    answer = anonymous.get("/clients/")
    assert (answer.status_code, answer["Location"]) == (302, "/sign-in/?next=/clients/")


def test_an_expired_sign_in_during_an_htmx_call_leaves_the_page_alone(anonymous: Browser) -> None:
    answer = anonymous.post("/clients/new/", {"name": "Rosa"}, headers={"HX-Request": "true"})
    assert answer.status_code == 401
    assert (answer["HX-Retarget"], answer["HX-Reswap"]) == ("#desk-message", "innerHTML")
    assert "Your sign-in has ended" in answer.content.decode()
    assert "<html" not in answer.content.decode()


def test_signing_out_closes_the_desk(as_coach: Browser) -> None:
    assert as_coach.get("/sign-out/").status_code == 405
    assert as_coach.get("/clients/").status_code == 200
    assert as_coach.post("/sign-out/").status_code == 302
    assert as_coach.get("/clients/").status_code == 302


def test_somebody_of_no_practice_is_told_so(anonymous: Browser) -> None:
    anonymous.force_login(UserFactory())
    assert anonymous.get("/clients/").status_code == 403


def test_who_is_signed_in_takes_two_queries(as_coach: Browser) -> None:
    as_coach.get("/acts/")
    with CaptureQueriesContext(connection) as queries:
        assert as_coach.get("/acts/").status_code == 200
    who = [q["sql"] for q in queries if any(f'FROM "{table}"' in q["sql"] for table in
           ("django_session", "practice_user", "practice_membership"))]  # fmt: skip
    assert len(who) == 2
    assert who[0].count("django_session")
    assert all(table in who[1] for table in ("practice_membership", "practice_user", "practice_practice"))


def test_a_person_put_out_of_the_practice_has_no_desk_at_the_next_page(as_coach: Browser, desk: Membership) -> None:
    assert as_coach.get("/clients/").status_code == 200
    desk.delete()
    assert as_coach.get("/clients/").status_code == 403


def test_a_person_no_longer_active_is_signed_out(as_coach: Browser, desk: Membership) -> None:
    desk.user.is_active = False
    desk.user.save()
    assert as_coach.get("/clients/").status_code == 302
