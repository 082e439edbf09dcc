"""Look-up tables for prescribing by column: loads that can be made, curves, and what nearness to failure costs."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .constants import value
from .curves import curve_for
from .errors import EngineError
from .strength_left import model_for

Array = NDArray[Any]
_SLOPE, _EDGE = value("slope_below_one_rep"), value("curve_last_rep")
# every row of the chart lies on both grids, so that straight lines between them are exact
_PER_FRACTION, _PER_REP = 10_000, 200
_TABLE_TO = 30  # reps in reserve from which the slow share no longer changes
_MOST_CELLS = 100_000
_HAIR = 0.5  # of a thousandth: a load on the edge of a cell counts to the cell that it begins


class Racks:
    """Sorted makeable loads of many racks, end to end, each between -inf and inf; rack 0 is 'no equipment'.

    A ruler of cells half as wide as the smallest gap finds the place of a target without a search.
    """

    def __init__(self, racks: Sequence[Sequence[int]]) -> None:
        loads: list[float] = []
        rulers, starts, per = [], [], []
        self.floor = np.array([min(0, *rack, 0) for rack in ((), *racks)], float)
        for rack, floor in zip(((), *racks), self.floor.tolist(), strict=True):
            if list(rack) != sorted(set(rack)):
                raise EngineError("loads of a rack", rack, "sorted, each once")
            own, longest = np.array([-np.inf, *rack, np.inf]), (rack[-1] - floor if rack else 0)
            width = max(min((b - a for a, b in pairwise(rack)), default=1000) / 2, longest / _MOST_CELLS)
            edges = floor + np.arange(0, longest + 2 * width, width)
            rulers.append(np.searchsorted(own, edges - _HAIR, "right") - 1 + len(loads))
            starts.append(len(loads))
            per.append(1 / width)
            loads += own.tolist()
        cells = [len(ruler) for ruler in rulers]
        self.loads, self.start = np.array(loads), np.array(starts)
        self.end = np.append(self.start[1:], len(loads)) - 1
        self._ruler, self._per_unit = np.concatenate(rulers), np.array(per)
        self._first, self._last = np.cumsum([0, *cells[:-1]]), np.array(cells) - 1
        self._looks = 1 + max(int(np.diff(np.append(ruler, ruler[-1])).max()) for ruler in rulers)
        self.plain = np.array([tuple(rack) == (0,) for rack in ((), *racks)])

    def at_most(self, rack: Array, target: Array) -> Array:
        """Index in `loads` of the heaviest load of `rack` up to `target` (not below `floor`); -inf: all are heavier."""
        cell = np.minimum((target - self.floor[rack]) * self._per_unit[rack], self._last[rack])
        place = self._ruler[self._first[rack] + cell.astype(np.intp)]
        for _ in range(self._looks):
            place += self.loads[place + 1] <= target
        return place

    def lightest(self, rack: Array) -> Array:
        """The lightest load of each rack; inf where there is no equipment."""
        return self.loads[self.start[rack] + 1]


class Curves:
    """Reps for fractions and the cost of reps for (curve, endurance) pairs, one row each.

    Straight lines between grid points: exact for the chart, within 1e-5 rep for the equations; strength left
    within 1e-6.
    """

    def __init__(self, curve: str, endurances: Sequence[float]) -> None:
        self.curve, self.endurances = curve, np.array(endurances, float)
        plain = curve_for(curve, 1.0)
        self._edge = plain.phi(_EDGE)
        cells = self._fitting_cells(plain.phi(2.0))
        grid = self._edge + (1 - self._edge) * np.arange(cells + 1) / cells
        self._cells = cells / (1 - self._edge)
        self._base = np.array([plain.reps_left(min(1.0, f)) for f in grid.tolist()] + [1.0])
        self._slope = np.append(np.diff(self._base), 0.0)
        longest = max(_TABLE_TO, 1 + (_EDGE - 1) * max(endurances)) + 1  # beyond it both are straight lines
        reserves = (np.arange(int(longest * _PER_REP) + 1) / _PER_REP).tolist()
        self._points = len(reserves)
        models = [model_for(curve, endurance) for endurance in self.endurances.tolist()]
        self._q, self._q_step = _lines([[model.slow_to(k) for k in reserves] for model in models])
        self._inverse, self._inverse_step = _lines([[1 / model.curve.phi(k) for k in reserves] for model in models])

    def _fitting_cells(self, bend: float) -> int:
        """How many cells from the edge to 1, so that the bend at two reps lies on the grid, as near as can be."""
        part, least = (bend - self._edge) / (1 - self._edge), round((1 - self._edge) * _PER_FRACTION)
        return min(range(least, 2 * least), key=lambda n: round(abs(n * part - round(n * part)), 9))

    def reps_left(self, row: Array, fraction: Array) -> Array:
        """Reps to failure at `fraction` of the strength left; below 1, even negative, above it."""
        inside = (np.clip(fraction, self._edge, 1.0) - self._edge) * self._cells
        i = inside.astype(np.intp)
        base = self._base[i] + (inside - i) * self._slope[i]
        far = _EDGE * (1 / fraction - 1) / (1 / self._edge - 1)
        reps = 1 + self.endurances[row] * (np.where(fraction < self._edge, far, base) - 1)
        return np.where(fraction >= 1, 1 - (fraction - 1) / _SLOPE, reps)

    def fraction_for(self, row: Array, reps: Array) -> Array:
        """phi: the fraction of 1RM for `reps` to failure."""
        i, part = self._place(row, reps)
        return 1 / (self._inverse[i] + part * self._inverse_step[i])

    def lost(self, row: Array, fraction: Array, strength: Array, reps: Array, left: Array) -> tuple[Array, Array]:
        """(fast, slow) lost by `reps` of the `left` reps that `fraction` allowed with `strength` left."""
        i, part = self._place(row, left - reps)
        lost = np.maximum(0.0, strength - fraction * (self._inverse[i] + part * self._inverse_step[i]))
        q = self._q[i] + part * self._q_step[i]
        i, part = self._place(row, left)
        slow = np.minimum(lost, fraction * (self._q[i] + part * self._q_step[i] - q))
        return lost - slow, slow

    def _place(self, row: Array, reserve: Array) -> tuple[Array, Array]:
        """(index into the flat tables, part of the way to the next point, above 1 beyond the last)."""
        place = reserve * _PER_REP
        i = np.minimum(place.astype(np.intp), self._points - 2)
        return i + row * self._points, place - i


def _lines(tables: list[list[float]]) -> tuple[Array, Array]:
    """Tables end to end, and what is added from each point to the next."""
    made = np.array(tables)
    return made.ravel(), np.diff(made, axis=1, append=made[:, -1:]).ravel()
