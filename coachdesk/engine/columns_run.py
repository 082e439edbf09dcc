"""A session step by step, many sessions at once: loads, strength left on the session's clock, reps, reserve."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np

from .columns_choose import Chooser, Chosen, Place
from .columns_plan import EFFORT, FIXED, HOLD_LOAD, HOLD_RANGE, HOLD_RIR, SAME, Array, Roster, Rows, Steps
from .columns_sums import Done, Outcome, Slot, Sums, Tally
from .fit_reps import MOST_RESERVE
from .ledgers import LEAST, TAU_FAST, TAU_SLOW
from .predict_step import _LEAST_FRACTION
from .rules import Rules
from .strength_left import LIGHTEST_FAILURE


class Runner:
    """Runs the sessions of one roster on their clocks, writing into `done` and `sums`."""

    def __init__(self, roster: Roster, rules: Rules, done: Done, sums: Sums) -> None:
        self.roster, self.rules, self.done = roster, rules, done
        self.every = np.arange(roster.visits.client.shape[0])
        self.tally = Tally(rules, sums, len(self.every))
        self.chooser = Chooser(roster.racks, roster.curves, rules)
        self.careful = roster.people.careful[roster.visits.client]
        self.clock = Clock(roster)
        nothing = np.zeros(len(self.every))
        self.load, self.place, self.rest_s = nothing * np.nan, nothing.astype(np.intp), nothing
        self.kept = np.full(done.load.shape, np.nan) if (roster.steps.hold == HOLD_RANGE).any() else done.load

    def run(self) -> None:
        """Every step, in order."""
        steps = self.roster.steps
        for i in range(steps.there.shape[0]):
            self._step(i, steps.row(i))

    def _step(self, i: int, step: Steps) -> None:
        slot, ledger = _one(step.slot), _one(step.ledger)
        row, clock = self._rows(slot), self.clock
        at = self._place(step, row)
        chosen = self.chooser.choose(step, at, 1.0)
        if step.starts.any():
            clock.rest(np.where(step.starts, self._lead_in_s(row, chosen.load), 0.0))
        clock.turn_to(ledger, int(step.ledger.max()))
        if (step.hold != HOLD_LOAD).any():
            chosen = self._held(i, step, at, chosen, clock.strength()[0])
        made = step.there & ~chosen.removed
        if step.later.any():
            clock.rest(np.where(step.later & made, np.maximum(self.rest_s, step.change_s), 0.0))
        outcome = self._work(i, step, at, chosen, made)
        where = slot if isinstance(slot, int) else (slot, self.every)
        self.tally.add(step, chosen, outcome, where, row.offset)
        self.load, self.place = np.where(made, chosen.load, self.load), np.where(made, chosen.place, self.place)
        self.rest_s = np.where(made, step.rest_s, self.rest_s)
        clock.rest(step.after_s)

    def _rows(self, slot: int | Array) -> Rows:
        rows = self.roster.rows
        if isinstance(slot, int):
            return rows.row(slot)
        return replace(rows, **{f.name: getattr(rows, f.name)[slot, self.every] for f in fields(rows)})

    def _place(self, step: Steps, row: Rows) -> Place:
        """With the load that the step is taken from: of the bout before, or of an earlier set."""
        load, place, racks = self.load, self.place, self.roster.racks
        earlier = np.flatnonzero(step.source >= 0)
        if earlier.size:
            load, place = load.copy(), place.copy()
            load[earlier] = found = self.done.load[step.source[earlier], earlier]
            known = np.fmax(found, racks.floor[row.rack[earlier]])
            place[earlier] = racks.at_most(row.rack[earlier], known)
        load = np.where((step.source < 0) & ~step.later, np.nan, load) if (step.kind >= SAME).any() else load
        return Place(row, self.roster.movements.curve[row.movement], self.careful, load, place)

    def _lead_in_s(self, row: Rows, working: Array) -> Array:
        """Set-up, and warm-ups with the rest after each, before the first set of an exercise."""
        seconds = np.full(len(working), self.rules.setup_s)
        if not row.warm_up.any():
            return seconds
        movements, racks = self.roster.movements, self.roster.racks
        per_rep = movements.seconds_per_rep[row.movement] * np.where(movements.one_limb[row.movement], 2, 1)
        top = np.where(np.isnan(working) | ~row.warm_up, 0.0, working)
        last = np.zeros(len(top))
        for share, reps in self.rules.warmup:
            load = racks.loads[racks.at_most(row.rack, top * share + 1e-6 * (top * share))]
            done = (load > last) & (load < top)
            seconds = seconds + np.where(done, reps * per_rep + self.rules.warmup_rest_s, 0.0)
            last = np.where(done, load, last)
        return seconds

    def _held(self, i: int, step: Steps, at: Place, fresh: Chosen, strength: Array) -> Chosen:
        """The choice where a step holds its reserve, or its range once fatigue takes the reps out of it."""
        follows, ranged = step.hold == HOLD_RIR, step.hold == HOLD_RANGE
        lower = self.chooser.choose(step, at, np.where(follows | ranged, np.round(strength, 3), 1.0))
        chosen = fresh.where(follows, lower)
        if not ranged.any():
            return chosen
        known = np.where(step.held >= 0, self.kept[step.held, self.every], np.nan)
        tired = ranged & ~chosen.removed & (known < chosen.load)
        if tired.any():
            kind, fixed = np.where(tired, FIXED, step.kind), np.where(tired, known, step.fixed)
            kept = self.chooser.choose(replace(step, kind=kind, fixed=fixed), at, 1.0)
            kept.misses = np.zeros(len(tired), bool)
            chosen = chosen.where(tired, kept)
        predictable = ranged & step.counted & ~chosen.removed & (chosen.fraction > 0)
        fraction = np.where(predictable, chosen.fraction, 1.0)
        left = np.maximum(0.0, self.roster.curves.reps_left(at.curve, fraction / strength))
        short = predictable & (left - np.where(np.isnan(chosen.rir), 0.0, chosen.rir) < step.reps_low)
        chosen = chosen.where(short & (lower.removed | ~(lower.load > chosen.load)), lower)
        self.kept[i] = np.where(np.isnan(chosen.load) | chosen.removed, known, chosen.load)
        return chosen

    def _work(self, i: int, step: Steps, at: Place, chosen: Chosen, made: Array) -> Outcome:
        """What a step is expected to give, what it costs, and what recovers meanwhile."""
        curves = self.roster.curves
        before, lost = self.clock.strength()
        known = step.counted & ~np.isnan(chosen.fraction)
        fraction, works = self._fraction(step, at, chosen, known)
        left = np.maximum(0.0, curves.reps_left(at.curve, fraction / before))
        spare = np.where(np.isnan(chosen.rir), 0.0, chosen.rir)
        reps = np.minimum(left, np.maximum(chosen.low, np.minimum(chosen.high, left - spare)))
        fast, slow = curves.lost(at.curve, fraction, before, np.where(works & made, reps, 0.0), left)
        cost = fast + slow
        light = step.failure & (fraction < LIGHTEST_FAILURE - 1e-9)
        reserve = np.where(light, 0.0, np.minimum(MOST_RESERVE, np.maximum(0.0, left - reps)))
        shown, expected = np.where(known & ~light, reps, np.nan), np.where(known, reserve, np.nan)
        written = np.where(np.isinf(chosen.high), np.where(chosen.low > 0, chosen.low, 10.0), chosen.high)
        counted = np.where(known & ~light, reps, written)
        self.clock.work(fast, slow, np.where(made, counted * step.rep_s, 0.0), step.weight == 1)
        after = np.where(cost > 0, np.minimum(1.0, np.maximum(LEAST, 1 - lost - cost)), before)
        done = self.done
        done.made[i], done.load[i], done.rir[i] = made, chosen.load, chosen.rir
        done.reps_low[i], done.reps[i], done.rir_expected[i] = chosen.low, shown, expected
        done.before[i], done.after[i] = before, after
        return Outcome(made, expected, counted, cost)

    def _fraction(self, step: Steps, at: Place, chosen: Chosen, known: Array) -> tuple[Array, Array]:
        """(load as a fraction of 1RM, costs anything): with an unknown maximum what reps and reserve imply."""
        fraction = np.where(known, np.maximum(chosen.fraction, _LEAST_FRACTION), 1.0)
        ramp = np.flatnonzero(step.counted & ~known & (step.kind == EFFORT) & step.there)
        if not ramp.size:
            return fraction, known
        reps = np.where(np.isinf(chosen.high[ramp]), chosen.low[ramp], chosen.high[ramp])
        total = reps + np.where(np.isnan(chosen.rir[ramp]), 0.0, chosen.rir[ramp])
        fraction[ramp] = np.minimum(1.0, self.roster.curves.fraction_for(at.curve[ramp], total))
        works = known.copy()
        works[ramp] = True
        return fraction, works


class Clock:
    """As `ledgers.Ledgers`: losses of every ledger of each session, and seconds that have yet to pass for them."""

    def __init__(self, roster: Roster) -> None:
        movement, side = roster.ledgers.movement, roster.ledgers.side
        apart = (side[:, None] != side[None]) & (side[:, None] > 0) & (side[None] > 0)
        overlap = roster.movements.overlap[movement[:, None], movement[None]]
        self.felt = np.where(apart | (movement < 0)[None], 0.0, overlap)  # (felt on, booked in, S)
        self.idle = 1 - self.felt  # how far work in the second is rest for the first
        self.fast, self.slow, self.waiting = (np.zeros(movement.shape) for _ in range(3))
        self.one_limb = roster.movements.one_limb[movement]
        self.pace = roster.people.recovery[roster.visits.client]
        self.ledger: int | Array = 0
        self.open, self.every = 0, np.arange(movement.shape[1])

    def turn_to(self, ledger: int | Array, highest: int) -> None:
        """Work goes on in these ledgers, none of them above `highest`."""
        self.ledger, self.open = ledger, max(self.open, highest + 1)

    def strength(self) -> tuple[Array, Array]:
        """(strength left, what was lost) as felt in the ledger that is worked in."""
        n, felt = self.open, self.felt[self.ledger] if isinstance(self.ledger, int) else self._seen_from()
        seconds = self.waiting[:n] * self.pace
        self.fast[:n] *= np.exp(seconds / -TAU_FAST)
        self.slow[:n] *= np.exp(seconds / -TAU_SLOW)
        self.waiting[:n] = 0.0
        lost = np.einsum("ls,ls->s", self.fast[:n] + self.slow[:n], felt[:n])
        return np.minimum(1.0, np.maximum(LEAST, 1 - lost)), lost

    def _seen_from(self) -> Array:
        seen: Array = self.felt[self.ledger, :, self.every].T
        return seen

    def rest(self, seconds: Array) -> None:
        """Seconds of rest for all."""
        self.waiting[: self.open] += seconds

    def work(self, fast: Array, slow: Array, seconds: Array, both_sides: Array) -> None:
        """Book what a step cost; its seconds are rest for what it does not use, half of them for limbs in turn."""
        n, slot = self.open, self._slot()
        self.fast[slot] += fast
        self.slow[slot] += slow
        self.waiting[:n] += seconds * (self.idle[:, slot] if isinstance(slot, int) else self.idle[:, *slot])[:n]
        alternating = self.one_limb[slot] & both_sides
        if alternating.any():
            self.waiting[slot] += np.where(alternating, seconds / 2, 0.0)

    def _slot(self) -> Slot:
        return self.ledger if isinstance(self.ledger, int) else (self.ledger, self.every)


def _one(index: Array) -> int | Array:
    """The index itself where all sessions share it: rows are then slices, not copies."""
    return int(index[0]) if (index == index[0]).all() else index
