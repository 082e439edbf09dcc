"""From planned exercises to muscles: the week's sets, fatigue that is left from day to day, and flags, by column."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from .columns_plan import Array, Roster
from .columns_sums import Sums
from .flag_volume import _SLACK
from .rules import Rules


@dataclass(frozen=True)
class Weeks:
    """(clients, weeks, muscles): fractional sets by the low, usual and high count, kg lifted; sessions (C, W)."""

    low: Array
    usual: Array
    high: Array
    kg: Array
    sessions: Array


@dataclass(frozen=True)
class Fatigue:
    """(S, muscles): units that a session adds, units left of earlier ones at its start, too close to one before."""

    units: Array
    left: Array
    too_close: Array


@dataclass(frozen=True)
class Flags:
    """True where a flag is raised: bands (C, W, muscles), too close (S, muscles), screening (S,), the rest (E, S)."""

    above_band: Array
    below_band: Array
    too_close: Array
    not_makeable: Array
    impossible: Array
    screening: Array


class Spread:
    """Spreads what planned exercises add up to over muscles, for groups of sessions."""

    def __init__(self, roster: Roster) -> None:
        self.movement, shares = roster.rows.movement, roster.movements.shares
        self.muscles = shares.shape[1]
        used = np.argsort(-shares, axis=1, kind="stable")[:, : max(1, int((shares > 0).sum(axis=1).max()))]
        self._used, self._shares = used, np.take_along_axis(shares, used, axis=1)

    def _parts(self, first: Array, direct: bool) -> Iterator[tuple[int, Array, Array]]:
        """(slot, index of (group, muscle), share) for each muscle of each slot; `first`: index of muscle 0."""
        for slot, movement in enumerate(self.movement):
            for k in range(self._used.shape[1]):
                share = self._shares[movement, k]
                share = np.where(movement >= 0, share >= 1 if direct else share, 0.0)
                yield slot, first + self._used[movement, k], share

    def over_groups(self, group: Array, groups: int, *sums: Array) -> list[Array]:
        """(groups, muscles) for each of `sums` (E, S), by share; a group is a number of sessions."""
        made = [np.zeros(groups * self.muscles) for _ in sums]
        for slot, index, share in self._parts(group * self.muscles, False):
            for total, one in zip(made, sums, strict=True):
                total += np.bincount(index, share * one[slot], minlength=len(total))
        return [total.reshape(groups, self.muscles) for total in made]

    def over_sessions(self, *sums: Array, direct: bool = False) -> list[Array]:
        """(S, muscles) for each of `sums` (E, S): by share, or in full on direct muscles only."""
        sessions = self.movement.shape[1]
        made = [np.zeros(sessions * self.muscles) for _ in sums]
        for slot, index, share in self._parts(np.arange(sessions) * self.muscles, direct):
            for total, one in zip(made, sums, strict=True):
                total[index] += share * one[slot]
        return [total.reshape(sessions, self.muscles) for total in made]


def week_columns(roster: Roster, sums: Sums, spread: Spread) -> Weeks:
    """Every client's weeks, as `volume.week_sets`."""
    people, week = len(roster.people.careful), roster.visits.day // 7
    weeks = int(week.max(initial=0)) + 1
    group = roster.visits.client * weeks + week
    found = spread.over_groups(group, people * weeks, sums.low, sums.usual, sums.high, sums.kg)
    low, usual, high, kg = (one.reshape(people, weeks, spread.muscles) for one in found)
    sessions = np.bincount(group, minlength=people * weeks).reshape(people, weeks)
    return Weeks(low, usual, high, kg, sessions)


def fatigue_columns(roster: Roster, sums: Sums, spread: Spread, rules: Rules) -> Fatigue:
    """Units of every session and what is left of them at the start of later ones, 24 h a day, by half-life."""
    (units,) = spread.over_sessions(sums.units)
    (to_failure,) = spread.over_sessions(sums.to_failure, direct=True)
    return _Days(roster, rules, units, to_failure).walk()


class _Days:
    """Walks through the first, second, third ... session of all clients at once."""

    def __init__(self, roster: Roster, rules: Rules, units: Array, to_failure: Array) -> None:
        self.visits, self.rules, self.units, self.to_failure = roster.visits, rules, units, to_failure
        slow = self.slow = roster.people.slow
        careful = np.where(slow, rules.half_life_careful, 1.0)
        self.halves = (rules.half_life_h * careful, rules.half_life_failure_h * careful)
        self.limit = np.where(slow, rules.high_fatigue_careful, rules.high_fatigue)[:, None]
        shape = (len(slow), units.shape[1])
        self.kept, self.needed = [np.zeros(shape), np.zeros(shape)], np.zeros(shape)
        self.last, self.hard_day = np.zeros(shape[0]), np.full(shape, -np.inf)

    def walk(self) -> Fatigue:
        """All sessions, each client's in order."""
        client, day = self.visits.client, self.visits.day
        order = np.lexsort((day, client))
        starts = np.flatnonzero(np.diff(client[order], prepend=-1))
        nth = np.arange(len(order)) - np.repeat(starts, np.diff(np.append(starts, len(order))))
        made = Fatigue(self.units, np.zeros_like(self.units), np.zeros(self.units.shape, bool))
        for n in range(int(nth.max(initial=-1)) + 1):
            self._visit(order[nth == n], made)
        return made

    def _visit(self, i: Array, made: Fatigue) -> None:
        """One session each of some clients: what is left, then what is added, then whether it comes too soon."""
        client, day = self.visits.client[i], self.visits.day[i]
        c = slice(None) if len(client) == len(self.slow) else client  # everybody, in order: no copies
        hours, units = 24.0 * (day - self.last[c]), self.units[i]
        short, failure = (
            kept[c] * np.exp2(hours / -half[c])[:, None] for kept, half in zip(self.kept, self.halves, strict=True)
        )
        made.left[i] = short + failure
        added = np.where(self.to_failure[i] > 0, units, 0.0)
        self.kept[0][c], self.kept[1][c], self.last[c] = short + (units - added), failure + added, day
        row, muscle = np.nonzero(units >= self.limit[c])
        session, client, day = i[row], client[row], day[row]
        made.too_close[session, muscle] = day - self.hard_day[client, muscle] < self.needed[client, muscle]
        long = (self.to_failure[session, muscle] >= self.rules.long_gap_failure_sets) | self.slow[client]
        apart = np.where(long, self.rules.hours_apart_long, self.rules.hours_apart)
        self.needed[client, muscle], self.hard_day[client, muscle] = np.ceil(apart / 24), day


def flag_columns(roster: Roster, sums: Sums, weeks: Weeks, fatigue: Fatigue, rules: Rules) -> Flags:
    """As `programme.find_flags`, without the cards: where a band, a gap between days, a load or a limit is missed."""
    people = roster.people
    above = weeks.low > people.band_high[:, None] + _SLACK
    below = people.grow[:, None] & (weeks.sessions > 0)[..., None] & (weeks.high < people.band_low[:, None] - _SLACK)
    limit = ((sums.at_limit | roster.rows.at_limit) & (roster.rows.movement >= 0)).any(axis=0)
    screening = limit & ~people.screened[roster.visits.client]
    impossible = (sums.asked - sums.expected >= rules.impossible_reps - _SLACK) & (
        sums.asked > rules.impossible_ratio * sums.expected + _SLACK
    )
    return Flags(above, below, fatigue.too_close, sums.misses, impossible, screening)
