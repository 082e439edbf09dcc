"""One's own password: chosen, changed with the present one, and what a change ends."""

import pytest
from django.test import Client as Browser

from coachdesk.practice import services
from coachdesk.practice.models import Change, Membership, User

OLD, NEW = "a long enough sentence", "three grey herons"


@pytest.fixture
def known(desk: Membership) -> User:
    desk.user.set_password(OLD)
    desk.user.save()
    return desk.user


def signed_in(user: User) -> Browser:
    browser = Browser()
    browser.force_login(user)
    return browser


def test_a_change_keeps_this_sign_in_and_ends_the_others(known: User) -> None:
    here, elsewhere = signed_in(known), signed_in(known)
    typed = {"current": OLD, "new": NEW, "again": NEW}
    assert here.post("/password/", typed).status_code == 302
    assert (here.get("/").status_code, elsewhere.get("/").status_code) == (200, 302)
    assert Browser().post("/sign-in/", {"email": known.email, "password": NEW}).status_code == 302
    assert not Change.objects.filter(model="practice.user").exists()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"current": "wrong"}, "not the password you have now"), ({"current": ""}, "required"),
        ({"new": "short", "again": "short"}, "at least 12 characters"),
        ({"new": "password1234", "again": "password1234"}, "too common"),
        ({"again": "three grey heron"}, "not what stands above"),
        ({"new": "x" * 1_000_000, "again": "x" * 1_000_000}, "at most 200"),
        ({"new": "\x00" * 20, "again": "\x00" * 20}, "Null characters"),
    ],
)  # fmt: skip
def test_what_is_refused_changes_nothing(known: User, typed: dict[str, str], words: str) -> None:
    answer = signed_in(known).post("/password/", {"current": OLD, "new": NEW, "again": NEW, **typed})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert User.objects.get(pk=known.pk).check_password(OLD)


def test_guessing_the_present_password_is_counted_with_the_sign_ins(known: User) -> None:
    browser = signed_in(known)
    for _ in range(services.MOST_TRIES):
        browser.post("/password/", {"current": "wrong", "new": NEW, "again": NEW})
    answer = browser.post("/password/", {"current": OLD, "new": NEW, "again": NEW})
    assert "8 tries failed" in answer.content.decode()
    assert Browser().post("/sign-in/", {"email": known.email, "password": OLD}).status_code == 422


def test_without_a_password_none_is_asked_for(as_coach: Browser, desk: Membership) -> None:
    assert 'name="current"' not in as_coach.get("/password/").content.decode()
    assert as_coach.post("/password/", {"new": NEW, "again": NEW}).status_code == 302
    assert User.objects.get(pk=desk.user_id).check_password(NEW)
