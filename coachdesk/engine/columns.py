"""Prescribing a whole roster by column: the engine's arithmetic over arrays, for thousands of clients at once."""

from __future__ import annotations

from dataclasses import dataclass

from .columns_plan import Roster
from .columns_run import Runner
from .columns_sums import Done, Sums, empty
from .columns_week import Fatigue, Flags, Spread, Weeks, fatigue_columns, flag_columns, week_columns
from .constants import value
from .errors import EngineError, instance
from .rules import DEFAULT, Rules

AT_ONCE = 12_000  # sessions: more would fall out of the processor's cache, fewer make more calls


@dataclass(frozen=True)
class PrescribedRoster:
    """Steps, sums of each planned exercise, weeks, fatigue and flags of a roster."""

    roster: Roster
    done: Done
    sums: Sums
    weeks: Weeks
    fatigue: Fatigue
    flags: Flags


def prescribe_columns(roster: Roster, rules: Rules = DEFAULT) -> PrescribedRoster:
    """Loads, reps, strength left, weekly sets, fatigue and flags as `prescribe_weeks` gives them, without reasons.

    Loads are equal; reps and strength left within the error of the curves' tables (see `Curves`). The roster's
    curves must be those of `rules`. Sentences, warm-up steps and remedies come from the objects only.
    """
    instance("roster", roster, Roster)
    instance("rules", rules, Rules)
    if roster.curves.curve != rules.curve:
        raise EngineError("curve of the roster", roster.curves.curve, f"{rules.curve}, as in the rules")
    heaviest = max((share for share, _ in rules.warmup), default=0.0)
    if heaviest > value("warmup_deposit_above"):
        right = f"at most {value('warmup_deposit_above'):g}: by column warm-ups cost nothing"
        raise EngineError("share of a warm-up", heaviest, right)
    done = empty(Done, roster.steps.there.shape)
    sums = empty(Sums, roster.rows.movement.shape)
    sessions = len(roster.visits.client)
    for start in range(0, sessions, AT_ONCE):
        part = slice(start, min(start + AT_ONCE, sessions))
        Runner(roster.cut(part), rules, done.cut(part), sums.cut(part)).run()
    spread = Spread(roster)
    weeks, fatigue = week_columns(roster, sums, spread), fatigue_columns(roster, sums, spread, rules)
    return PrescribedRoster(roster, done, sums, weeks, fatigue, flag_columns(roster, sums, weeks, fatigue, rules))
