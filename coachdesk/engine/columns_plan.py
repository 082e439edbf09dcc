"""The arrays that go into prescribing by column: people, sessions, planned exercises and their steps."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from .columns_tables import Curves, Racks
from .errors import EngineError, instance
from .muscles import MUSCLES

Array = NDArray[Any]
OWN, EFFORT, FIXED, SAME, SHARE, PLACES = range(6)  # SHARE and PLACES: of or from the load before
HOLD_LOAD, HOLD_RIR, HOLD_RANGE = range(3)
T = TypeVar("T", bound="Table")


@dataclass(frozen=True)
class Table:
    """A group of equally long columns."""

    def cut(self: T, last: slice) -> T:
        """The same columns for a stretch of the last axis."""
        return replace(self, **{field.name: getattr(self, field.name)[..., last] for field in fields(self)})

    def row(self: T, i: int) -> T:
        """Row `i` of every column."""
        return replace(self, **{field.name: getattr(self, field.name)[i] for field in fields(self)})


@dataclass(frozen=True)
class Movements:
    """G exercises: shares (G, muscles), row of the curves, one limb at a time, seconds a rep."""

    shares: Array
    curve: Array
    one_limb: Array
    seconds_per_rep: Array

    @property
    def overlap(self) -> Array:
        """(G, G): how much of a loss on the second is felt on the first, as `ledgers.overlap`."""
        total = self.shares.sum(axis=1, keepdims=True)
        common = np.minimum(self.shares[:, None, :], self.shares[None, :, :]).sum(axis=2)
        made: Array = np.divide(common, total, out=np.zeros_like(common), where=total > 0)
        np.fill_diagonal(made, 1.0)
        return made


@dataclass(frozen=True)
class People:
    """C clients: rounded down for, slow to recover between days, screened, pace of recovery between sets.

    Bands (C, muscles), NaN for none; marked to grow (C, muscles).
    """

    careful: Array
    slow: Array
    screened: Array
    recovery: Array
    band_low: Array
    band_high: Array
    grow: Array


@dataclass(frozen=True)
class Visits(Table):
    """S sessions: index of the client and day of the programme (0-based)."""

    client: Array
    day: Array


@dataclass(frozen=True)
class Rows(Table):
    """(E, S) planned exercises; -1 for no movement.

    Maxima (mean, lower quarter; NaN unknown) and moved body mass in thousandths of the rack's unit.
    `warm_up`: first of its pattern. `at_limit`: written as a maximum.
    """

    movement: Array
    rack: Array
    mean: Array
    low: Array
    offset: Array
    warm_up: Array
    at_limit: Array


@dataclass(frozen=True)
class Ledgers(Table):
    """(L, S) ledgers of a session: the movement (-1 for none) and side (0 both, 1 left, 2 right) of each."""

    movement: Array
    side: Array


@dataclass(frozen=True)
class Steps(Table):
    """(N, S) steps in the order in which they are done; sessions with fewer end in steps that are not `there`.

    `slot`, `ledger`: places in Rows and Ledgers. `starts`: set-up and warm-ups of the slot come before it; a
    step that starts but is not there is only that. `later`: not the first of its set. `source`: row of the
    step that a first step's load is taken from, -1 for none.
    `kind`, and by it `ask`: fraction of the maximum; `fixed`: thousandths; `keep`: share of the load before;
    `places`: up from it. NaN: not to be worked out. `up`: moved up when rounding undid the change.
    Reps: infinite high when the reserve or failure ends them. `rir`: NaN when not written. `counted`: in
    repetitions, not in seconds or metres. `rep_s`: seconds for each of them. `rest_s`: rest inside a set, at
    least `change_s`; `after_s`: rest after the set. `hold`: what fatigue leaves alone; `held`: row of the step
    whose load it may not exceed, -1 for none. `weight`: 1, or 0.5 for one side.
    """

    there: Array
    slot: Array
    ledger: Array
    starts: Array
    later: Array
    source: Array
    kind: Array
    ask: Array
    fixed: Array
    keep: Array
    places: Array
    up: Array
    reps_low: Array
    reps_high: Array
    is_range: Array
    failure: Array
    counted: Array
    rir: Array
    rep_s: Array
    rest_s: Array
    change_s: Array
    after_s: Array
    hold: Array
    held: Array
    weight: Array
    lifted: Array


@dataclass(frozen=True)
class Roster:
    """Everything planned for a number of clients, by column."""

    movements: Movements
    people: People
    visits: Visits
    rows: Rows
    ledgers: Ledgers
    steps: Steps
    racks: Racks
    curves: Curves

    def __post_init__(self) -> None:
        shapes = {"rows": 2, "ledgers": 2, "steps": 2, "visits": 1}
        sessions = instance("visits", self.visits, Visits).client.shape[-1]
        for name, axes in shapes.items():
            table = getattr(self, name)
            first = getattr(table, fields(table)[0].name).shape
            for field in fields(table):
                shape = getattr(table, field.name).shape
                if len(shape) != axes or shape != first or shape[-1] != sessions:
                    raise EngineError(f"shape of {name}.{field.name}", shape, f"{axes}-D, {sessions} sessions wide")
        if self.movements.shares.shape[1] != len(MUSCLES):
            raise EngineError("muscles of the movements", self.movements.shares.shape, f"{len(MUSCLES)} columns")

    def cut(self, stretch: slice) -> Roster:
        """The same roster for a stretch of its sessions."""
        parts = {name: getattr(self, name).cut(stretch) for name in ("visits", "rows", "ledgers", "steps")}
        return replace(self, **parts)
