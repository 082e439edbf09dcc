"""Flags on volume against habit: jumps, and hard work nobody is used to."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from .because import Because
from .constants import source
from .context import Context
from .flag_session import is_careful_level
from .flag_tools import SLACK, count_words, difference, edited, listed, sets_label
from .flag_volume import Week, cut_week
from .flags import Edit, Flag, Remedy, Where
from .habit import Habit, habit_of
from .muscles import muscle
from .plans import ClientTraits
from .rules import Rules
from .scheme_edits import with_rir
from .scheme_words import plain
from .summary import SessionSummary, summary
from .technique_edits import with_straight_sets
from .volume import add_weeks

_NEAR = 0.25  # a set less than the number that is flagged, in quarters of a set


class _Over(NamedTuple):
    """A muscle's week above what its habit allows."""

    code: str
    week_no: int
    sets: float
    habit: float
    weeks: int
    most: float
    severe: bool


@dataclass(frozen=True)
class _Plan:
    """Done weeks before this one, and the planned weeks to be looked at."""

    done: dict[int, dict[str, float]]
    weeks: tuple[Week, ...]
    away: frozenset[int] = frozenset()

    def habit(self, week_no: int, rules: Rules) -> Habit | None:
        known = {n: sets for n, sets in self.done.items() if n < week_no}
        for n, _, totals in self.weeks:
            if n < week_no:
                known[n] = {code: one.fractional for code, one in totals if one.fractional > 0}
        # a week with a holiday or an illness in it says nothing of what somebody is used to
        return habit_of({n: sets for n, sets in known.items() if n not in self.away}, week_no, rules)


def habit_flags(weeks: Sequence[Week], client: ClientTraits, rules: Rules, context: Context) -> list[Flag]:
    """At most one flag of each kind: jumps, much more than the habit, near failure without a habit."""
    if context.weeks is None:
        return []
    first = context.week_no if context.week_no is not None else min((week[0] for week in weeks), default=1)
    done = {n: dict(sets) for n, sets in context.weeks if n < first}
    plan = _Plan(done, tuple(week for week in weeks if week[0] >= first and week[1]), context.away_weeks)
    made = []
    for find, flag in ((_jumps, _jump_flag), (_unaccustomed, _unaccustomed_flag)):
        found = find(plan, client, rules, context)
        if found:
            made.append(flag(found, plan, client, rules, context))
    return made + _near_failure_flags(plan, client, rules)


def _jumps(plan: _Plan, client: ClientTraits, rules: Rules, context: Context) -> list[_Over]:
    found = []
    marks = dict(client.marks)
    for week_no, _, totals in plan.weeks:
        habit = plan.habit(week_no, rules)
        if habit is None:
            continue
        usual = dict(habit.sets)
        for code, week in totals:
            before = usual.get(code, 0.0)
            most = max(before * (1 + rules.jump_share), before + rules.jump_sets) if before else rules.new_muscle_sets
            if week.low <= most + SLACK or marks.get(code) == "rehab":
                continue
            more = week.low - before
            severe = more > rules.jump_severe_share * before and more >= rules.jump_severe_sets - SLACK
            found.append(_Over(code, week_no, week.low, before, habit.weeks, most, bool(before) and severe))
    return found


def _unaccustomed(plan: _Plan, client: ClientTraits, rules: Rules, context: Context) -> list[_Over]:
    """Novices, older and returning people and the first weeks of training: many more sets than they are used to."""
    why = _why_unaccustomed(plan, client, rules, context)
    if not why:
        return []
    found = []
    for week_no, _, totals in plan.weeks:
        habit = plan.habit(week_no, rules)
        usual = dict(habit.sets) if habit else {}
        for code, week in totals if habit else ():
            before = usual.get(code, 0.0)
            limit = max(rules.unaccustomed_times * before, rules.unaccustomed_sets)
            if week.low >= limit - SLACK and dict(client.marks).get(code) != "rehab":
                found.append(_Over(code, week_no, week.low, before, habit.weeks, limit - _NEAR, True))  # type: ignore[union-attr]
    return found


def _why_unaccustomed(plan: _Plan, client: ClientTraits, rules: Rules, context: Context) -> str:
    first = min((one.plan.day for _, sessions, _ in plan.weeks for one in sessions), default=0)
    first = max(first, context.today) if context.today is not None else first
    if context.last_day is not None and first - context.last_day >= rules.layoff_days:
        return f", after {count_words(first - context.last_day, 'day')} away"
    if client.weeks_trained is not None and client.weeks_trained < rules.untrained_weeks:
        return f", {count_words(client.weeks_trained, 'week')} into training"
    if client.level == "novice":
        return ", as a novice"
    return f", at {client.age}" if is_careful_level(client, rules) else ""


def _others(found: Sequence[_Over]) -> str:
    """'; also Lats (9 against 4) and 2 more muscles': the other muscles of the first week."""
    worst = found[0]
    rest = [one for one in found if one.week_no == worst.week_no and one.code != worst.code]
    words = [f"{muscle(one.code).name} ({plain(round(one.sets, 1))} against {plain(round(one.habit, 1))})"
             for one in rest[:2]]  # fmt: skip
    if len(rest) > 2:
        words.append(f"{count_words(len(rest) - 2, 'more muscle')}")
    return f"; also {listed(words)}" if words else ""


def _worst_first(found: list[_Over]) -> list[_Over]:
    first = min(one.week_no for one in found)
    return sorted(found, key=lambda one: (one.week_no != first, -(one.sets - one.habit), one.week_no))


def _weeks(found: Sequence[_Over]) -> tuple[int, ...]:
    return tuple(sorted({one.week_no for one in found}))


def _jump_flag(found: list[_Over], plan: _Plan, client: ClientTraits, rules: Rules, context: Context) -> Flag:
    found = _worst_first(found)
    worst = found[0]
    numbers: tuple[tuple[str, float | str], ...] = (
        ("muscle", muscle(worst.code).name), ("sets", worst.sets), ("week", worst.week_no), ("habit", worst.habit),
        ("weeks", worst.weeks), ("severe", ", a severe jump" if any(one.severe for one in found) else ""),
        ("others", _others(found)),
    )  # fmt: skip
    if worst.habit:
        numbers += (("percent", round(100 * (worst.sets / worst.habit - 1))),)
    because = Because("volume_jump" if worst.habit else "volume_new", numbers)
    remedy = _down(plan, client, rules, context, _jumps)
    where = Where(week_no=worst.week_no, muscle=worst.code)
    basis = source("jump_share")
    return Flag("volume_jump", "check", where, numbers, because, basis, (remedy,), _weeks(found))


def _unaccustomed_flag(found: list[_Over], plan: _Plan, client: ClientTraits, rules: Rules, context: Context) -> Flag:
    found = _worst_first(found)
    worst = found[0]
    numbers = (
        ("muscle", muscle(worst.code).name), ("sets", worst.sets), ("week", worst.week_no), ("habit", worst.habit),
        ("why", _why_unaccustomed(plan, client, rules, context)), ("others", _others(found)),
    )  # fmt: skip
    remedy = _down(plan, client, rules, context, _unaccustomed)
    where = Where(week_no=worst.week_no, muscle=worst.code)
    because = Because("unaccustomed_volume", numbers)
    basis = source("unaccustomed_sets")
    return Flag("unaccustomed_volume", "check", where, numbers, because, basis, (remedy,), _weeks(found))


_Find = Callable[[_Plan, ClientTraits, Rules, Context], list[_Over]]


def _down(plan: _Plan, client: ClientTraits, rules: Rules, context: Context, find: _Find) -> Remedy:
    """Sets off, week after week, until the finder finds nothing: what is cut becomes the next week's habit."""
    now = plan
    for _ in range(3 * len(plan.weeks) + 3):
        found = find(now, client, rules, context)
        if not found:
            break
        week_no = min(one.week_no for one in found)
        limits = tuple((one.code, one.most) for one in found if one.week_no == week_no)
        cut = tuple(_cut(week, limits, client, rules) if week[0] == week_no else week for week in now.weeks)
        now = _Plan(now.done, cut, now.away)
    after = {one.plan.key: one.plan for _, sessions, _ in now.weeks for one in sessions}
    plans = [one.plan for _, sessions, _ in plan.weeks for one in sessions]
    edits = tuple(edit for before in plans for edit in difference(before, after[before.key]))
    return Remedy(sets_label(plans, edits), edits)


def _cut(week: Week, limits: tuple[tuple[str, float], ...], client: ClientTraits, rules: Rules) -> Week:
    week_no, sessions, _ = week
    plans = tuple(one.plan for one in sessions)
    edits = cut_week(plans, client, rules, limits)
    made = tuple(summary(plan, client, rules) for plan in edited(plans, edits))
    return week_no, made, add_weeks(one.muscles for one in made)


def _near_failure_flags(plan: _Plan, client: ClientTraits, rules: Rules) -> list[Flag]:
    """Many sets to failure in one session for a muscle that is hardly trained by habit, whoever it is."""
    found: list[tuple[SessionSummary, _Over]] = []
    for week_no, sessions, _ in plan.weeks:
        habit = plan.habit(week_no, rules)
        usual = dict(habit.sets) if habit else {}
        for one in sessions if habit else ():
            for code, work in one.fatigue:
                before = usual.get(code, 0.0)
                if work.failure_sets >= rules.unaccustomed_hard - SLACK and before < rules.raise_habit - SLACK:
                    found.append((one, _Over(code, week_no, work.failure_sets, before, 0, 0.0, True)))
    if not found:
        return []
    _, worst = found[0]
    numbers = (
        ("muscle", muscle(worst.code).name), ("sets", worst.sets), ("week", worst.week_no), ("habit", worst.habit),
        ("why", ", all to failure or with drops in one session"), ("others", ""),
    )  # fmt: skip
    edits: dict[object, Edit] = {}
    for one, over in found:
        for row in one.plan.exercises:
            if dict(row.exercise.muscles).get(over.code, 0.0) >= 1:
                stopped = with_rir(with_straight_sets(row.scheme), rules.untrained_rir)
                edits[row.key] = Edit("exercise", row.key, "scheme", stopped)
    label = f"Straight sets of {muscle(worst.code).name.lower()}, {rules.untrained_rir:g} in reserve"
    where = Where(worst.week_no, found[0][0].plan.key, None, worst.code)
    because = Because("unaccustomed_volume", numbers)
    weeks = tuple(sorted({over.week_no for _, over in found}))
    remedy = Remedy(label, tuple(edits.values()))
    return [
        Flag("unaccustomed_volume", "check", where, numbers, because, source("unaccustomed_hard"), (remedy,), weeks)
    ]
