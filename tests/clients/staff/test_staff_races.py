"""Two owners at the same moment: whoever comes second sees what the first one did."""

from collections.abc import Callable
from datetime import datetime
from functools import partial
from threading import Barrier, Thread
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import connection

from clients.models import Client
from clients.services import create_client
from clients.staff import services
from coachdesk.practice.models import Membership
from tests.factories.clients import ClientFactory
from tests.factories.practice import MembershipFactory

pytestmark = pytest.mark.django_db(transaction=True)
ROUNDS = 4


def at_once(*calls: Callable[[], Any]) -> list[str]:
    """'done' or the kind of refusal of calls made at the same moment."""
    gate, told = Barrier(len(calls)), [""] * len(calls)

    def run(number: int, call: Callable[[], Any]) -> None:
        gate.wait()
        try:
            call()
            told[number] = "done"
        except (ValidationError, PermissionDenied) as refused:
            told[number] = type(refused).__name__
        finally:
            connection.close()

    threads = [Thread(target=run, args=pair) for pair in enumerate(calls)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sorted(told)


def test_two_owners_who_make_each_other_coaches_leave_one_owner(now: datetime) -> None:
    down: dict[str, Any] = {"version": 1, "role": "coach", "may_log": False, "assists": [], "was": [], "now": now}
    for _ in range(ROUNDS):
        first = MembershipFactory(owner=True)
        second = MembershipFactory(practice=first.practice, owner=True)
        told = at_once(
            partial(services.change_staff, by=first, member=second, **down),
            partial(services.change_staff, by=second, member=first, **down),
        )
        assert told == ["ValidationError", "done"]
        assert Membership.objects.filter(practice=first.practice, role="owner").count() == 1


def test_a_client_added_while_their_coach_leaves_has_a_coach_who_works_here(now: datetime) -> None:
    for _ in range(ROUNDS):
        owner = MembershipFactory(owner=True)
        coach = MembershipFactory(practice=owner.practice)
        ClientFactory(coach=coach)
        told = at_once(
            partial(services.end_staff, by=owner, member=coach, heir=owner, note="", now=now),
            partial(create_client, by=coach, name="Rosa", now=now),
        )
        assert told in (["ValidationError", "done"], ["done", "done"])
        coaches = Membership.objects.filter(clients__in=Client.objects.filter(practice=owner.practice))
        assert set(coaches.values_list("left_at", flat=True)) == {None}
