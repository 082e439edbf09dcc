"""Lost answers and replays never log twice: every post five times, shuffled, from two tabs at once.

The full figure, 10,000 replays: `python -m pytest -n0 -m figures tests/logs/test_replays.py`.
"""

import random
import threading
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connections
from django.test import Client as Browser
from django.urls import reverse

from coachdesk.practice.models import Act
from programs.logs.mapping import sheet_exercises, sheet_key
from programs.logs.models import SessionLog, SetLog
from tests.factories.clients import ClientFactory
from tests.factories.logs import IssuedSheetFactory, exercise_body, straight_sets
from tests.factories.programs import ExerciseFactory

COPIES, SHEET = 5, 25
Post = tuple[str, dict[str, str]]


def sheets(desk: Any, count: int) -> list[Any]:
    """So many sheets of 25 sets for each of a few clients."""
    rows = [ExerciseFactory(name=f"Press {n}") for n in range(5)]
    people = [ClientFactory(coach=desk, name=f"Client {n}") for n in range(4)]
    bodies = [exercise_body(row, n, steps=straight_sets(SHEET // 5)) for n, row in enumerate(rows, start=1)]
    return [IssuedSheetFactory(client=people[n % len(people)], exercises=bodies) for n in range(count)]


def slots(sheet: Any) -> list[str]:
    return [step.slot for one in sheet_exercises(sheet.body) for step in one.steps]


def session_post(sheet: Any) -> Post:
    """The session with its first set; the others are sent one by one."""
    data = {"key": sheet_key(sheet.uid).hex, "done_on": "2026-11-24", f"reps-{slots(sheet)[0]}": "8 @2"}
    return reverse("logs:session_log", args=[sheet.pk]), data


def set_posts(sheet: Any) -> list[Post]:
    url = reverse("logs:set_log", args=[sheet.logs.get().pk])
    return [
        (url, {"slot": slot, "load": "70", "reps": str(6 + n % 3), "rir": "2"})
        for n, slot in enumerate(slots(sheet)[1:])
    ]


def from_two_tabs(desk: Any, posts: list[Post], seed: int) -> list[int]:
    """Send all of them, shuffled apart, from two threads with one sign-in each; the statuses."""
    statuses: list[int] = []
    random.Random(seed).shuffle(posts)

    def tab(mine: list[Post]) -> None:
        browser = Browser()
        browser.force_login(desk.user)
        try:
            statuses.extend(browser.post(url, data).status_code for url, data in mine)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=tab, args=(posts[n::2],)) for n in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return statuses


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("count", [2, pytest.param(100, marks=pytest.mark.figures)])
def test_no_replay_logs_twice_and_none_is_lost(desk: Any, count: int, record_property: Callable[..., None]) -> None:
    made = sheets(desk, count)
    first = from_two_tabs(desk, [session_post(sheet) for sheet in made] * COPIES, seed=1)
    assert SessionLog.objects.count() == count
    posts = [post for sheet in made for post in set_posts(sheet)]
    second = from_two_tabs(desk, posts * COPIES, seed=2)
    record_property("replays", (len(first) + len(second)) * (COPIES - 1) // COPIES)
    # Every copy is answered as the first was: a redirect to what is saved.
    assert set(first + second) == {302}
    assert len(first + second) == COPIES * SHEET * count
    kept = SetLog.objects.values_list("session_log__sheet", "position", "set_no", "reps")
    wanted = {
        (sheet.pk, int(slot[0]), int(slot[2]), 8 if n == 0 else 6 + (n - 1) % 3)
        for sheet in made
        for n, slot in enumerate(slots(sheet))
    }
    assert len(kept) == len(wanted) == SHEET * count
    assert set(kept) == wanted
    # One act for each thing that was done, none for its copies.
    assert Act.objects.filter(subject__startswith="log:").count() == SHEET * count
