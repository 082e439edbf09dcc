"""The load and reps of one step of many sessions at once: target, load that can be made, reps that fit it."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from .choose_load import _FIXED_TOLERANCE, _HALF_UNIT
from .columns_plan import EFFORT, FIXED, PLACES, SAME, SHARE, Array, Rows, Steps
from .columns_tables import Curves, Racks
from .fit_reps import _LIGHTEST, MOST_RESERVE
from .loads import MOST_THOUSANDTHS
from .makeable_load import READS_ALIKE
from .rules import Rules

_SLACK = 1e-9
_HAIR = 1e-6  # of the target, as in `equipment.rounded`


@dataclass(frozen=True)
class Place:
    """Where a step stands: its planned exercise, row of the curves, careful client, load (NaN: none) it is taken from.

    `place`: of that load in the racks.
    """

    row: Rows
    curve: Array
    careful: Array
    load: Array
    place: Array


@dataclass
class Chosen:
    """By session: load (NaN unknown) and its place in the racks, fraction of the mean maximum (NaN unknown).

    Reps and reserve to plan, whether the step is left out, and whether what was asked cannot be made.
    """

    load: Array
    place: Array
    fraction: Array
    low: Array
    high: Array
    rir: Array
    removed: Array
    misses: Array

    def where(self, mask: Array, other: Chosen) -> Chosen:
        """`other` where the mask is true."""
        names = [field.name for field in fields(self)]
        return Chosen(*(np.where(mask, getattr(other, name), getattr(self, name)) for name in names))


class Chooser:
    """As `choose_load.choose`, for one step of each of many sessions."""

    def __init__(self, racks: Racks, curves: Curves, rules: Rules) -> None:
        self.racks, self.curves, self.rules = racks, curves, rules
        every = np.arange(len(curves.endurances))
        self._heavy_from = curves.fraction_for(every, np.full(len(every), rules.heavy_reps)) - _SLACK

    def choose(self, step: Steps, at: Place, left: Array | float) -> Chosen:
        """`left`: strength left, rounded, where the step holds its reserve or range, else 1."""
        row, fixed, relative = at.row, step.kind == FIXED, step.kind >= SAME
        base = np.where(at.careful | (step.ask >= self._heavy_from[at.curve]), row.low, row.mean)
        base = base * left
        target = step.ask * base - row.offset
        if fixed.any():
            target, base = np.where(fixed, step.fixed, target), np.where(fixed, row.mean, base)
        target = self._relative(step, at, target) if relative.any() else target
        load, place, nearest = self._made(row, target, at.careful & ~fixed, fixed)
        removed = np.zeros(len(load), bool)
        if step.later.any() or relative.any():
            load, place, removed = self._next(step, at, target, load, place)
        fraction = np.maximum(0.0, load + row.offset) / row.mean
        wanted = np.maximum(target + row.offset, 1.0)
        own = ~step.later & ~relative
        limit = np.where(fixed, _FIXED_TOLERANCE, self.rules.far_off_above)
        misses = (np.abs(nearest - target) > limit * wanted) & own & (row.rack > 0) & (step.kind != EFFORT)
        chosen = Chosen(load, place, fraction, step.reps_low, step.reps_high, step.rir, removed, misses)
        fits = own & step.counted & np.isfinite(step.reps_high) & ~np.isnan(target + base)
        self._fit(chosen, step, at, wanted, base, fits)
        self._plain_body_weight(chosen, row, target)
        return chosen

    def _relative(self, step: Steps, at: Place, target: Array) -> Array:
        """A share of the load before, or so many places from it; out of reach beyond the end of the rack."""
        kept = (at.load + at.row.offset) * step.keep - at.row.offset
        target = np.where(step.kind == SHARE, kept, target)
        target = np.where(step.kind == SAME, at.load, target)
        moved = step.kind == PLACES
        if moved.any():
            place = np.clip(at.place + step.places, self.racks.start[at.row.rack], self.racks.end[at.row.rack])
            found = self.racks.loads[place]
            end = np.where(step.places > 0, float(MOST_THOUSANDTHS), -at.row.offset - 1.0)
            found = np.where(np.isfinite(found), found, end)
            target = np.where(moved, np.where(np.isnan(at.load + step.keep), np.nan, found), target)
        return target

    def _made(self, row: Rows, target: Array, down: Array, fixed: Array) -> tuple[Array, Array, Array]:
        """(load, its place, nearest load): nearest, ties down, or at most the target, the lightest at least."""
        safe = np.fmin(np.fmax(target, self.racks.floor[row.rack]), MOST_THOUSANDTHS)
        place = self.racks.at_most(row.rack, safe + _HAIR * np.abs(safe) + np.where(down, READS_ALIKE, 0.0))
        under, over = self.racks.loads[place], self.racks.loads[place + 1]
        nearer = safe - under > over - safe
        up = np.where(down, np.isinf(under), nearer)
        load = np.where(up, over, under)
        bare = row.rack == 0
        if bare.any():
            halves = np.maximum(1.0, np.floor(safe / _HALF_UNIT + np.where(down, 0.0, 0.5)))
            load = np.where(bare, np.where(fixed, np.rint(safe), halves * _HALF_UNIT), load)
            up = up & ~bare
        return np.where(np.isnan(target), np.nan, load), place + up, np.where(nearer, over, under)

    def _next(self, step: Steps, at: Place, target: Array, load: Array, place: Array) -> tuple[Array, Array, Array]:
        """The load moved on by one where rounding undid a drop or rise; later steps are left out when there is none."""
        offset, rack = at.row.offset, at.row.rack
        lightest = np.where(rack == 0, _HALF_UNIT, self.racks.lightest(rack))
        reach = step.up | (target + offset >= (lightest + offset) * (1 - self.rules.resolve_above))
        changed = np.where(step.up, load > at.load, load < at.load)
        ladder = (step.later | (step.kind > SAME)) & (step.kind != SAME) & ~np.isnan(at.load + target)
        undone = ladder & ~(reach & changed)
        next_place = np.clip(at.place + np.where(step.up, 1, -1), 0, len(self.racks.loads) - 1)
        next_load = self.racks.loads[next_place]
        moved = undone & reach & np.isfinite(next_load) & (rack > 0)
        same = step.kind == SAME
        load = np.where(same, at.load, np.where(moved, next_load, load))
        return load, np.where(same, at.place, np.where(moved, next_place, place)), undone & ~moved & step.later

    def _fit(self, chosen: Chosen, step: Steps, at: Place, wanted: Array, base: Array, fits: Array) -> None:
        """Plan the reserve that a target implies, and other reps where rounding moved the load too far."""
        implied = np.flatnonzero(fits & np.isnan(step.rir))
        if implied.size:
            left = self.curves.reps_left(at.curve[implied], wanted[implied] / base[implied])
            chosen.rir = chosen.rir.copy()
            chosen.rir[implied] = np.clip(left - step.reps_high[implied], 0.0, MOST_RESERVE)
        made = np.maximum(chosen.load + at.row.offset, 1.0)
        off = made / wanted - 1
        light = made < _LIGHTEST * base
        moved = np.flatnonzero(fits & (step.kind != FIXED) & ~light & (np.abs(off) > self.rules.resolve_above))
        if moved.size:
            left = self.curves.reps_left(at.curve[moved], made[moved] / base[moved])
            self._whole_reps(chosen, step, moved, left - chosen.rir[moved], off[moved], at.careful[moved])

    def _whole_reps(self, chosen: Chosen, step: Steps, i: Array, fits: Array, off: Array, careful: Array) -> None:
        low, high, ranged = step.reps_low[i], step.reps_high[i], step.is_range[i]
        whole = np.clip(np.floor(fits + _SLACK), 1.0, 1000.0)
        kept = np.clip(whole, low, high)
        missed = fits - kept
        counts = (missed < 0) | (~careful & (np.abs(off) > self.rules.far_off_above))
        out = ranged & counts & (np.abs(missed) > self.rules.rir_missed)
        chosen.low, chosen.high = chosen.low.copy(), chosen.high.copy()
        chosen.low[i] = np.where(ranged, np.where(out, kept, low), whole)
        chosen.high[i] = np.where(ranged, kept, whole)
        chosen.misses[i] |= out

    def _plain_body_weight(self, chosen: Chosen, row: Rows, target: Array) -> None:
        """With nothing to add, the load is plain body weight whatever is not known."""
        plain = self.racks.plain[row.rack] & np.isnan(target)
        if plain.any():
            chosen.load = np.where(plain, 0.0, chosen.load)
            chosen.place = np.where(plain, self.racks.start[row.rack] + 1, chosen.place)
