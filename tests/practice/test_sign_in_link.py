"""The sign-in link: looking burns nothing, pressing works once, and not after fifteen minutes."""

from datetime import datetime, timedelta

import pytest
from django.test import Client as Browser
from django.utils import timezone

from coachdesk.practice import services
from coachdesk.practice.models import Membership, SignInLink


@pytest.fixture
def token(desk: Membership) -> str:
    return services.make_sign_in_link(user=desk.user, now=timezone.now())


def test_looking_any_number_of_times_burns_nothing(token: str, anonymous: Browser) -> None:
    for _ in range(5):
        answer = anonymous.get(f"/sign-in/{token}/")
        assert answer.status_code == 200
        assert 'method="post"' in answer.content.decode()
    assert anonymous.head(f"/sign-in/{token}/").status_code in (200, 405)
    assert SignInLink.objects.get().used_at is None
    assert "_auth_user_id" not in anonymous.session


def test_pressing_signs_in_once(token: str, anonymous: Browser, desk: Membership) -> None:
    assert anonymous.post(f"/sign-in/{token}/").status_code == 302
    assert anonymous.session["_auth_user_id"] == str(desk.user_id)
    other = Browser()
    answer = other.post(f"/sign-in/{token}/")
    assert answer.status_code == 422
    assert "used already or is older than 15 minutes" in answer.content.decode()
    assert "_auth_user_id" not in other.session


def test_a_link_ends_after_fifteen_minutes(desk: Membership, now: datetime) -> None:
    token = services.make_sign_in_link(user=desk.user, now=now)
    with pytest.raises(services.SignInRefused):
        services.use_sign_in_link(token=token, now=now + timedelta(minutes=15))
    assert services.use_sign_in_link(token=token, now=now + timedelta(minutes=14, seconds=59)) == desk.user


def test_a_link_of_somebody_no_longer_active_does_not_open(desk: Membership, now: datetime) -> None:
    token = services.make_sign_in_link(user=desk.user, now=now)
    desk.user.is_active = False
    desk.user.save()
    with pytest.raises(services.SignInRefused):
        services.use_sign_in_link(token=token, now=now)


def test_only_the_digest_is_stored(token: str) -> None:
    row = SignInLink.objects.get()
    assert token not in (row.digest, str(row))
    assert len(row.digest) == 64


@pytest.mark.parametrize("token", ["wrong", "x" * 500, "%00", "é"])
def test_a_made_up_link_is_refused_in_words(anonymous: Browser, token: str) -> None:
    assert anonymous.post(f"/sign-in/{token}/").status_code == 422
