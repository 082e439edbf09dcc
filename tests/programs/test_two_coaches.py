"""Two coaches on one programme at once: different cells never collide, the same cell is asked about."""

import random
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import count
from typing import Any

import pytest
from django.db import connections

from coachdesk import engine
from coachdesk.practice.merge import StaleEdit
from coachdesk.practice.models import Act, Membership
from programs.models import PlannedExercise, Program
from programs.services import edit_exercise
from tests.factories.clients import ClientFactory
from tests.factories.programs import STRAIGHT, PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory

PAIRS = 1000
CELLS = ("sets", "load_value", "reps", "rir", "rest", "cue")


class Pair:
    """Two threads that stay, so that each keeps one connection to the database, started from one line every time."""

    def __init__(self) -> None:
        self.pool = ThreadPoolExecutor(max_workers=2)
        self.line = threading.Barrier(2)

    def run(self, *calls: Callable[[], Any]) -> list[Any]:
        """What both calls gave, or the exceptions they ended in."""
        return [future.result() for future in [self.pool.submit(self._one, call) for call in calls]]

    def _one(self, call: Callable[[], Any]) -> Any:
        self.line.wait()
        try:
            return call()
        except Exception as problem:
            return problem

    def _leave(self) -> None:
        self.line.wait()
        connections.close_all()

    def close(self) -> None:
        for future in [self.pool.submit(self._leave) for _ in range(2)]:
            future.result()
        self.pool.shutdown()


@pytest.fixture
def pair() -> Iterator[Pair]:
    made = Pair()
    yield made
    made.close()


@pytest.fixture
def program(transactional_db: None, desk: Membership) -> Program:
    """Two rows in one session of a client's programme."""
    made = ProgramFactory(coach=desk, client=ClientFactory(coach=desk))
    session = PlannedSessionFactory(program=made)
    for position in (1, 2):
        PlannedExerciseFactory(session=session, position=position)
    return made


class Table:
    """The two rows as one person sees them, and an edit of one cell as a page would send it."""

    def __init__(self, by: Membership, dice: random.Random) -> None:
        self.by, self.dice = by, dice
        self.rows = list(PlannedExercise.objects.select_related("exercise", "session__block__program").order_by("pk"))
        self.shown = {row.pk: cells(row) for row in self.rows}

    def edit(self, place: int, cell: str, value: str) -> Callable[[], Any]:
        """The edit as it was typed on what is shown, whatever happens meanwhile."""
        row, values = self.rows[place], dict(self.shown[self.rows[place].pk])
        values[cell] = value
        cue = values.pop("cue")
        return lambda: edit_exercise(
            by=self.by, planned=row, version=row.version, fields={**STRAIGHT, **values}, unit="kg", cue=cue
        )


def cells(row: PlannedExercise) -> dict[str, str]:
    """The cells of a row as text."""
    return {**engine.scheme_to_fields(engine.scheme_from_json(row.scheme), "kg"), "cue": row.cue}


def value_for(cell: str, n: int) -> str:
    """A value that no other pair writes into this cell next."""
    return {
        "sets": str(1 + n % 9), "load_value": str(50 + n % 40), "reps": str(3 + n % 9), "rir": str(n % 5),
        "rest": str(60 + n % 90), "cue": f"Cue {n}",
    }[cell]  # fmt: skip


def stored() -> dict[int, dict[str, str]]:
    return {n: cells(row) for n, row in enumerate(PlannedExercise.objects.order_by("pk"))}


def test_thousand_racing_pairs_lose_nothing_in_silence(
    desk: Membership, owner: Membership, program: Program, pair: Pair
) -> None:
    dice, seen = random.Random(2026), Counter[str]()
    for n in count():
        if seen.total() == PAIRS:
            break
        mine, theirs = Table(desk, dice), Table(owner, dice)
        first, second = dice.choice(CELLS), dice.choice(CELLS)
        places = (dice.randint(0, 1), dice.randint(0, 1))
        before = stored()
        values = (value_for(first, 2 * n), value_for(second, 2 * n + 1))
        if values[0] == before[places[0]][first] or values[1] == before[places[1]][second]:
            continue  # no edit at all: it depends on who won before, so it is not counted
        found = pair.run(mine.edit(places[0], first, values[0]), theirs.edit(places[1], second, values[1]))
        problems = [one for one in found if isinstance(one, Exception)]
        after = stored()
        if places[0] == places[1] and first == second:
            seen["same cell"] += 1
            assert [type(one) for one in problems] == ([] if values[0] == values[1] else [StaleEdit])
            winner = values[0] if not isinstance(found[0], Exception) else values[1]
            assert after[places[0]][first] == winner
            expected = {**before, places[0]: {**before[places[0]], first: winner}}
        else:
            seen["one row" if places[0] == places[1] else "two rows"] += 1
            assert problems == []
            expected = {place: dict(row) for place, row in before.items()}
            expected[places[0]][first] = values[0]
            expected[places[1]][second] = values[1]
        assert after == expected
    assert min(seen.values()) >= 50


def test_each_of_two_writers_is_on_the_tape(desk: Membership, owner: Membership, program: Program, pair: Pair) -> None:
    mine, theirs = Table(desk, random.Random(1)), Table(owner, random.Random(1))
    pair.run(mine.edit(0, "reps", "5"), theirs.edit(0, "rest", "150"))
    assert set(Act.objects.order_by("-id").values_list("actor__user__name", flat=True)[:2]) == {
        "Ana Reis",
        "Olu Mensah",
    }
