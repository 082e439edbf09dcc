"""Waiting for the one writer of this process: with an end, and then in words."""

import threading
from datetime import datetime

import pytest
from django.db import OperationalError, connection

from coachdesk.practice import turns
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import write
from coachdesk.practice.turns import DeskBusy
from tests.factories.clients import PlaceFactory


@pytest.fixture
def somebody_writes():
    """Another thread that holds the turn until the test is over."""
    held, over = threading.Event(), threading.Event()

    def hold() -> None:
        with turns.turn():
            held.set()
            over.wait(30)

    thread = threading.Thread(target=hold)
    thread.start()
    assert held.wait(5)
    yield
    over.set()
    thread.join()


def test_a_turn_that_never_comes_is_a_busy_database(somebody_writes, monkeypatch):
    monkeypatch.setattr(turns, "WAIT_S", 0.05)
    with (
        pytest.raises(DeskBusy, match=r"busy with another change and was so for 0\.05 s; try again") as told,
        turns.turn(),
    ):
        raise AssertionError("two had the turn at once")
    assert isinstance(told.value, OperationalError)


def test_the_turn_is_given_back_after_a_fault():
    with pytest.raises(RuntimeError, match="inside"), turns.turn():
        raise RuntimeError("inside")
    taken = threading.Thread(target=lambda: turns.writer.acquire(timeout=1) and turns.writer.release())
    taken.start()
    taken.join(5)
    assert turns.writer.acquire(timeout=1)
    turns.writer.release()


@pytest.mark.django_db
def test_nothing_is_written_while_somebody_else_writes(desk: Membership, now: datetime, somebody_writes, monkeypatch):
    monkeypatch.setattr(turns, "WAIT_S", 0.05)
    acts = Act.objects.count()
    if connection.vendor == "sqlite":
        with pytest.raises(DeskBusy), write("Add a place", by=desk) as act:
            act.create(PlaceFactory.build(practice=desk.practice, name="Barn"))
        assert Act.objects.count() == acts
    else:  # there every writer has a connection of its own, and the rows' own locks
        with write("Add a place", by=desk) as act:
            act.create(PlaceFactory.build(practice=desk.practice, name="Barn"))
        assert Act.objects.count() == acts + 1
