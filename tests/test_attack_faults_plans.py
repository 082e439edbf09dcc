"""A fault at the Nth statement of a write about programmes: all of it or nothing, for every N."""

from collections.abc import Callable
from datetime import datetime

import pytest

from coachdesk.practice.models import Membership
from tests.faults.calls_of_plans import CALLS
from tests.faults.trial import statements_tried
from tests.faults.world import World

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize("name", CALLS)
def test_a_fault_at_any_statement_leaves_nothing_behind(
    desk: Membership, now: datetime, name: str, record_property: Callable[[str, object], None]
) -> None:
    record_property("statements", statements_tried(World(desk, now), CALLS[name]))
