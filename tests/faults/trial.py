"""Trying one write at every statement."""

from collections.abc import Callable
from contextlib import suppress
from typing import Any

from django.db import DatabaseError

from tests.faults.machinery import everything, failing_at
from tests.faults.world import World

# More statements than any write sends: a call that never ends its statements is a fault of its own.
MOST = 1000


def statements_tried(world: World, call: Callable[[World], Any]) -> int:
    """Let every statement of the call fail in turn: nothing is left; then it passes, and changes something."""
    before, number = everything(), 0
    while True:
        number += 1
        assert number < MOST
        with failing_at(number) as sent, suppress(DatabaseError):
            call(world)
        if len(sent) < number:
            break
        assert everything() == before, sent[-1]
    assert number > 4
    assert everything() != before
    return number - 1
