"""Several coaches and presses at the same moment: one press makes one link, and what is revoked stays so."""

import pytest
from django.core.exceptions import ValidationError

from clients.links.selectors import link_of_token
from clients.links.services import make_link, revoke_link, rotate_link
from clients.models import ClientLink
from coachdesk.practice.models import Act
from tests.test_attack_undo import at_once

pytestmark = pytest.mark.django_db(transaction=True)
KEY = "0b5c0000-0000-4000-8000-000000000001"


def test_a_form_sent_six_times_at_once_makes_one_link(desk, linked, now):
    found = at_once(*[lambda: make_link(by=desk, client=linked, label="Own phone", now=now, key=KEY)] * 6)
    assert ClientLink.objects.count() == 1
    assert [type(one) for one in found if one is not None and not isinstance(one, tuple)] == [ValidationError] * 5


def test_rotating_six_times_at_once_leaves_one_link_in_force(desk, linked, now):
    link, token = make_link(by=desk, client=linked, label="Own phone", now=now)
    at_once(*[lambda: rotate_link(by=desk, link=link, now=now)] * 6)
    assert ClientLink.objects.filter(revoked_at=None).count() == 1
    assert ClientLink.objects.count() == 2
    assert link_of_token(token, "phone", now) is None


def test_revoking_and_rotating_at_once_never_leaves_the_old_address_open(desk, linked, now):
    link, token = make_link(by=desk, client=linked, label="Own phone", now=now)
    calls = [lambda: revoke_link(by=desk, link=link, now=now), lambda: rotate_link(by=desk, link=link, now=now)] * 3
    at_once(*calls)
    assert link_of_token(token, "phone", now) is None
    assert ClientLink.objects.filter(revoked_at=None).count() <= 1
    # One act for whoever came first, and none that changed nothing.
    assert all(act.changes.exists() for act in Act.objects.all())
