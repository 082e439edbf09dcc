"""A fault at the Nth statement of a write about people and logs: all of it or nothing, for every N."""

from collections.abc import Callable
from datetime import datetime

import pytest
from django.db import transaction

from coachdesk.practice.models import Membership
from programs.services import load_library
from tests.faults import calls_of_logs, calls_of_people, calls_of_plans
from tests.faults.machinery import noting_calls, writers
from tests.faults.trial import statements_tried
from tests.faults.world import World

pytestmark = pytest.mark.django_db(transaction=True)
CALLS = calls_of_people.CALLS | calls_of_logs.CALLS
# Every write there is, those about plans in a file of their own; the library is tried in its own test.
ALL = {**CALLS, **calls_of_plans.CALLS, "library": lambda world: load_library()}


@pytest.mark.parametrize("name", CALLS)
def test_a_fault_at_any_statement_leaves_nothing_behind(
    desk: Membership, now: datetime, name: str, record_property: Callable[[str, object], None]
) -> None:
    record_property("statements", statements_tried(World(desk, now), CALLS[name]))


def test_every_function_that_opens_a_transaction_is_tried(desk: Membership, now: datetime) -> None:
    """A new service fails this until it has a call of its own."""
    world = World(desk, now)
    with noting_calls() as called:
        for call in ALL.values():
            with transaction.atomic():
                call(world)
                transaction.set_rollback(True)
    assert len(writers()) > 90
    assert sorted(writers() - called) == []
