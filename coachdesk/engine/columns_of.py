"""From plans as objects to the columns of a roster."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .columns_plan import Array, Ledgers, Movements, People, Roster, Rows, Steps, Visits
from .columns_rows import NO_LEDGER, NO_ROW, NO_STEP, Row, session_steps
from .columns_tables import Curves, Racks
from .errors import items
from .flag_volume import band_for
from .muscles import MUSCLES
from .plans import ClientTraits, ExerciseTraits, SessionPlan
from .rules import DEFAULT, Rules

_NAN = float("nan")
Plans = Sequence[tuple[Sequence[SessionPlan], ClientTraits]]


def roster_of(plans: Plans, rules: Rules = DEFAULT) -> Roster:
    """The columns of (sessions, client) pairs; sessions keep their order, clients one after another.

    EngineError for what is not done by column: quotas, sets for total reps, a maximum for each side, times and
    distances with a known best, and drops by place on equipment without units.
    """
    given = items("plans", plans, empty=False, most=1_000_000)
    made = _Builder(rules)
    for number, (sessions, client) in enumerate(given):
        for session in sessions:
            made.add(number, session, client)
    return made.roster([client for _, client in given])


class _Builder:
    """Collects sessions; numbers exercises, racks and endurances as they come."""

    def __init__(self, rules: Rules) -> None:
        self.rules = rules
        self.movements: dict[ExerciseTraits, int] = {}
        self.racks: dict[tuple[int, ...], int] = {(): 0}
        self.endurances: dict[float, int] = {}
        self.visits: list[tuple[int, int]] = []
        self.rows: list[list[Row]] = []
        self.ledgers: list[list[Row]] = []
        self.steps: list[list[Row]] = []

    def add(self, number: int, session: SessionPlan, client: ClientTraits) -> None:
        """One session of the client of that number."""
        rows, ledgers, steps = session_steps(session, client, self.rules, self._movement, self._rack)
        self.visits.append((number, session.day))
        self.rows.append(rows)
        self.ledgers.append(ledgers)
        self.steps.append(steps)

    def _movement(self, traits: ExerciseTraits) -> int:
        self.endurances.setdefault(traits.endurance, len(self.endurances))
        return self.movements.setdefault(traits, len(self.movements))

    def _rack(self, loads: tuple[int, ...]) -> int:
        return self.racks.setdefault(loads, len(self.racks))

    def roster(self, clients: list[ClientTraits]) -> Roster:
        """Everything collected, as columns."""
        client, day = np.array(self.visits, dtype=int).reshape(-1, 2).T
        return Roster(
            self._exercises(),
            _people(clients, self.rules),
            Visits(client, day),
            Rows(*_padded(self.rows, NO_ROW)),
            Ledgers(*_padded(self.ledgers, NO_LEDGER)),
            Steps(*_padded(self.steps, NO_STEP)),
            Racks([loads for loads in self.racks if loads]),
            Curves(self.rules.curve, list(self.endurances) or [1.0]),
        )

    def _exercises(self) -> Movements:
        traits = list(self.movements)
        shares = np.zeros((max(1, len(traits)), len(MUSCLES)))
        codes = {muscle.code: i for i, muscle in enumerate(MUSCLES)}
        for i, one in enumerate(traits):
            for code, share in one.muscles:
                shares[i, codes[code]] = share
        return Movements(
            shares,
            np.array([self.endurances[one.endurance] for one in traits], int),
            np.array([one.limbs == "one" for one in traits], bool),
            np.array([one.seconds_per_rep for one in traits], float),
        )


def _people(clients: list[ClientTraits], rules: Rules) -> People:
    bands = [[band_for(client, muscle.code, rules) for muscle in MUSCLES] for client in clients]
    older = rules.older_age
    return People(
        np.array([client.is_careful(older) for client in clients]),
        np.array([client.level == "novice" or client.is_older(older) for client in clients]),
        np.array([client.screening == "ok" for client in clients]),
        np.array([client.recovery for client in clients], float),
        np.array([[band[0][0] if band else _NAN for band in row] for row in bands], float),
        np.array([[band[0][1] if band else _NAN for band in row] for row in bands], float),
        np.array([[dict(client.marks).get(muscle.code) == "grow" for muscle in MUSCLES] for client in clients]),
    )


def _padded(sessions: Sequence[Sequence[Row]], filler: Row) -> list[Array]:
    """Rows of values a session -> one array a column, (longest session, sessions), filled up."""
    longest = max(1, *map(len, sessions)) if sessions else 1
    made = []
    for column, fill in enumerate(filler):
        array = np.full((longest, len(sessions)), fill, dtype=np.int16 if type(fill) is int else type(fill))
        for s, rows in enumerate(sessions):
            if rows:
                array[: len(rows), s] = [row[column] for row in rows]
        made.append(array)
    return made
