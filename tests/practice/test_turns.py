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


def test_whoever_waits_longest_comes_next():
    """Beside a thread that takes its turn again at once: the others come in the order in which they asked."""
    order, over = [], threading.Event()

    def go_on() -> None:
        while not over.is_set():
            with turns.turn():
                order.append("again")
                over.wait(0.005)

    def once(name: str) -> None:
        with turns.turn():
            order.append(name)

    busy = threading.Thread(target=go_on)
    threads = [threading.Thread(target=once, args=(str(n),)) for n in range(5)]
    with turns.turn():  # everybody asks meanwhile, one after the other
        for n, thread in enumerate([busy, *threads], start=1):
            thread.start()
            while len(turns.writer._waiting) < n:
                over.wait(0.001)
    for thread in threads:
        thread.join(10)
    over.set()
    busy.join(10)
    assert order[:6] == ["again", "0", "1", "2", "3", "4"]


def test_a_turn_is_taken_again_inside_it_and_given_back_once():
    with turns.turn(), turns.turn():
        pass
    assert turns.writer.acquire(timeout=0)
    turns.writer.release()
    assert turns.writer._holder is None


def test_who_stops_waiting_leaves_the_queue(somebody_writes):
    assert not turns.writer.acquire(timeout=0.01)
    assert not turns.writer._waiting


def test_who_is_interrupted_while_waiting_leaves_the_queue(somebody_writes, monkeypatch):
    def interrupted(self: threading.Event, timeout: float) -> bool:
        raise KeyboardInterrupt

    monkeypatch.setattr(threading.Event, "wait", interrupted)
    with pytest.raises(KeyboardInterrupt):
        turns.writer.acquire(timeout=1)
    monkeypatch.undo()
    assert not turns.writer._waiting


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
