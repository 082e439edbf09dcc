"""Progression: where to start, how to raise sets, reps and loads, lighter weeks, and the way back after a layoff."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from .because import Because, reason
from .constants import value
from .equipment import Equipment, _makeable, checked_equipment
from .errors import EngineError, instance, items, non_negative_float, number, one_of, whole
from .flag_layoff import return_cuts
from .muscles import muscle
from .plans import LEVELS, ExerciseTraits
from .rules import DEFAULT, Rules

_MOST_WEEKS = 104
_GOAL_REPS, _GOAL_SESSIONS = value("goal_reps_over"), int(value("goal_sessions"))
AREAS = ("upper", "lower")
# Increase at a time, thousandths (low, high): Haff & Triplett 2016 (from memory); trained rows are printed 'or more'
_STEPS: dict[tuple[bool, str, str], tuple[int, int]] = {
    (False, "upper", "lb"): (2500, 5000), (False, "lower", "lb"): (5000, 10000),
    (True, "upper", "lb"): (5000, 10000), (True, "lower", "lb"): (10000, 15000),
    (False, "upper", "kg"): (1000, 2000), (False, "lower", "kg"): (2000, 4000),
    (True, "upper", "kg"): (2000, 4000), (True, "lower", "kg"): (4000, 7000),
}  # fmt: skip


@dataclass(frozen=True)
class Proposal:
    """A number the desk proposes, and why."""

    value: float
    because: Because


def starting_sets(
    habit_sets: float, *, adherence: float | None = None, days_away: int = 0, pain: bool = False,
    weeks_trained: int | None = None, rules: Rules = DEFAULT,
) -> Proposal:  # fmt: skip
    """Weekly sets of a muscle to start with: 120 % of the habit, or the habit where anything speaks against more.

    Against more: a habit under 4 sets, adherence (0 to 1) under 80 % or not known, a layoff of 14 days, pain, the
    first 8 weeks of training. Not rounded. Common practice, no source.
    """
    non_negative_float("habit", habit_sets, 1000)
    instance("rules", rules, Rules)
    instance("pain", pain, bool)
    whole("days away", days_away, 0, 100_000)
    if adherence is not None:
        number("adherence", adherence, 0, 1)
    if weeks_trained is not None:
        whole("weeks trained", weeks_trained, 0, 5000)
    why = _against_more(habit_sets, adherence, days_away, pain, weeks_trained, rules)
    if why:
        return Proposal(float(habit_sets), reason("start_habit", habit=habit_sets, why=why))
    made = rules.start_share * habit_sets
    return Proposal(made, reason("start_raised", habit=habit_sets, percent=100 * rules.start_share, sets=made))


def _against_more(
    habit_sets: float, adherence: float | None, days_away: int, pain: bool, weeks: int | None, rules: Rules
) -> str:
    if habit_sets < rules.raise_habit:
        return f"the habit is under {rules.raise_habit:g} sets"
    if adherence is None or adherence < rules.raise_adherence:
        return f"less than {100 * rules.raise_adherence:g} % of the sessions were done, or it is not known"
    if days_away >= rules.layoff_days:
        return f"{days_away} days were away"
    if pain:
        return "there was pain"
    if weeks is not None and weeks < rules.untrained_weeks:
        return f"the first {rules.untrained_weeks:g} weeks are not over"
    return ""


def weekly_sets(start: float, weeks: int, *, raising: bool = True, rules: Rules = DEFAULT) -> tuple[int, ...]:
    """Whole sets for each week: 7 % more every three weeks, rounded half up, the rest carried to the next week.

    So the sum over the weeks is never half a set or more off the unrounded sum. Common practice, no source.
    """
    non_negative_float("sets to start with", start, 1000)
    whole("weeks", weeks, 1, _MOST_WEEKS)
    instance("raising", raising, bool)
    instance("rules", rules, Rules)
    made, carry = [], 0.0
    step = max(1, int(rules.raise_weeks))
    for week in range(weeks):
        raises = week // step if raising else 0
        wanted = start * (1 + rules.raise_share) ** raises + carry
        if not wanted < 1e6:
            raise EngineError("sets after raising", wanted, "below a million: raise by less")
        n = math.floor(wanted + 0.5)
        carry = wanted - n
        made.append(n)
    return tuple(made)


def lighter_week(sets: int, rules: Rules = DEFAULT) -> int:
    """Sets of a lighter week: 30 % fewer, rounded down, one at least where there was one."""
    whole("sets", sets, 0, 1000)
    return _reduced(sets, instance("rules", rules, Rules).lighter_week)


def return_sets(sets: int, days_away: int, week: int, rules: Rules = DEFAULT) -> int:
    """Sets in a week (1, 2, ...) after a layoff: one lighter week after 14 days, 50/30/20/10 % fewer after 28.

    Rounded down, one at least where there was one. CSCCa/NSCA 2019 (from memory); days: common practice.
    """
    whole("sets", sets, 0, 1000)
    whole("days away", days_away, 0, 100_000)
    whole("week", week, 1, _MOST_WEEKS)
    cuts = return_cuts(days_away, instance("rules", rules, Rules))
    return _reduced(sets, cuts[week - 1]) if week <= len(cuts) else sets


def _reduced(sets: int, cut: float) -> int:
    return min(sets, max(1, math.floor(sets * (1 - cut) + 1e-9)))


def goal_met(goal: int, last_set_reps: Sequence[int]) -> bool:
    """2-for-2: the last set went at least two reps over the goal in each of the last two sessions.

    `last_set_reps`: reps of the last set, oldest session first. Haff & Triplett 2016 (partly from memory).
    """
    whole("rep goal", goal, 1, 1000)
    reps = [whole("reps", one, 0, 1000) for one in items("reps of the last sets", last_set_reps)]
    latest = reps[-_GOAL_SESSIONS:]
    return len(latest) == _GOAL_SESSIONS and all(one >= goal + _GOAL_REPS for one in latest)


def body_area(exercise: ExerciseTraits) -> str:
    """'lower' when a leg muscle is trained directly, else 'upper'."""
    instance("exercise", exercise, ExerciseTraits)
    return "lower" if any(share >= 1 and muscle(code).region == "leg" for code, share in exercise.muscles) else "upper"


def load_step(level: str, area: str, unit: str) -> tuple[int, int]:
    """(least, most) thousandths of the unit to add at a time, by training level and body area.

    Novices use the rows for smaller or less trained people. Haff & Triplett 2016 (from memory).
    """
    one_of("level", level, LEVELS)
    one_of("body area", area, AREAS)
    return _STEPS[(level != "novice", area, one_of("unit", unit, ("kg", "lb")))]


def next_load(load: int, level: str, area: str, equipment: Equipment) -> int:
    """The next load up: the smallest makeable one within the step, else the next makeable one; the same at the top.

    Loads in thousandths of the equipment's unit. A step that the equipment cannot make is overstepped, never
    rounded down: otherwise light dumbbells would never change.
    """
    whole("load", load, 0, 10_000_000)
    loads = _makeable(checked_equipment(equipment))
    if not loads:
        raise EngineError("equipment", equipment, "one with loads in kg or lb")
    least, _ = load_step(level, area, equipment.unit)
    i = bisect_left(loads, load + least)
    return loads[i] if i < len(loads) else max(load, loads[-1])


def double_progression(
    load: int, reps: Sequence[int], goal: tuple[int, int], level: str, area: str, equipment: Equipment
) -> tuple[int, int]:
    """(load, reps to aim at) after a session: every set at the top of the range -> next load, bottom of the range.

    Otherwise the same load and one rep more than the weakest set, within the range.
    """
    low, high = goal if isinstance(goal, (list, tuple)) and len(goal) == 2 else (None, None)
    whole("lower end of the range", low, 1, 1000)
    whole("upper end of the range", high, low or 1, 1000)
    done = [whole("reps", one, 0, 1000) for one in items("reps", reps, empty=False)]
    heavier = next_load(load, level, area, equipment)
    if min(done) >= (high or 0) and heavier > load:
        return heavier, low or 1
    return load, max(low or 1, min(high or 1, min(done) + 1))


def after_missed_reserve(
    load: int, planned_rir: float, rir: float, equipment: Equipment, rules: Rules = DEFAULT, *, body_load: int = 0
) -> int:
    """The next set's load when the reserve was missed by 2 or more: 5 % lighter, rounded down.

    The same load otherwise, and at the lightest one. Common practice (2.5 to 4 % a rep), no source. `body_load`: what
    the body adds, in thousandths of the load's unit; the 5 % are of both together, and a load below 0 is assistance.
    """
    whole("load", load, -10_000_000, 10_000_000)
    whole("body's part of the load", body_load, 0, 10_000_000)
    number("planned RIR", planned_rir, 0, 10)
    number("RIR", rir, 0, 10)
    instance("rules", rules, Rules)
    loads = _makeable(checked_equipment(equipment))
    if planned_rir - rir < rules.rir_missed or not loads:
        return load
    i = bisect_right(loads, (load + body_load) * (1 - rules.missed_rir_load) - body_load + 1e-6)
    return min(load, loads[max(0, i - 1)])
