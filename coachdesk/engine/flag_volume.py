"""Flags on a muscle's weekly sets, above and below the band of the house rules."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from .because import Because
from .constants import source
from .errors import EngineError, instance
from .flag_tools import sets_label
from .flags import Edit, Flag, Remedy, Where
from .muscles import muscle
from .plans import ClientTraits, ExercisePlan, Key, SessionPlan
from .prescribed import PrescribedExercise
from .rules import Band, Rules
from .scheme import MOST_SETS
from .scheme_edits import kept_order, repeated_set, set_count, with_sets
from .summary import SessionSummary, summary
from .volume import MuscleWeek, _count_set, set_share

_SLACK = 1e-6
Row = tuple[ExercisePlan, float, list[float], list[float], float]


def band_for(client: ClientTraits, code: str, rules: Rules) -> tuple[Band, str] | None:
    """(band of weekly fractional sets, its source) for a muscle; None where only the coach decides."""
    instance("client", client, ClientTraits)
    instance("rules", rules, Rules)
    muscle(code)
    marks = dict(client.marks)
    if marks.get(code) == "rehab" or client.goal == "rehab":
        return None
    if marks.get(code) == "hold":
        return rules.band_hold, source("band_hold_high")
    if client.goal == "health" or (client.level == "novice" and client.is_older(rules.older_age)):
        return rules.band_health, source("band_health_low")
    if client.level == "novice":
        return rules.band_novice, source("band_novice_low")
    if client.level == "intermediate":
        return rules.band_intermediate, source("band_intermediate_low")
    return rules.band_advanced, source("band_advanced_low")


def _counts(plan: ExercisePlan, made: PrescribedExercise, rules: Rules) -> tuple[list[float], list[float], float]:
    """Low and high counts of the sets in the order in which `with_sets` keeps them, and what one more counts."""
    low, high = [], []
    for steps in made.sets:
        one, share = _count_set(steps, rules), set_share(steps)
        low.append(share * one.low)
        high.append(share * one.high)
    order = [i for i in kept_order(plan.scheme) if i < len(low)]  # a quota may end early
    return ([low[i] for i in order], [high[i] for i in order], high[min(repeated_set(plan.scheme), len(high) - 1)])


def _rows(week: Sequence[SessionSummary], code: str, rules: Rules) -> list[Row]:
    rows = []
    for one in week:
        for plan, made in zip(one.plan.exercises, one.prescribed.exercises, strict=True):
            share = dict(plan.exercise.muscles).get(code, 0.0)
            if share > 0:
                rows.append((plan, share, *_counts(plan, made, rules)))
    return rows


Limits = tuple[tuple[str, float], ...]


@lru_cache(maxsize=8192)
def _cut(
    plans: tuple[SessionPlan, ...], client: ClientTraits, rules: Rules, code: str, high: float
) -> tuple[Edit, ...]:
    """Edits that bring a week's low count down to `high`: sets off the exercise with the most of them."""
    return cut_week(plans, client, rules, ((code, high),))


def cut_week(plans: tuple[SessionPlan, ...], client: ClientTraits, rules: Rules, limits: Limits) -> tuple[Edit, ...]:
    """Edits that bring a week's low counts down to the limits of these muscles, one muscle after the other.

    Sets come off the exercise with the most of them, direct work first; the last set only when nothing else is left.
    """
    made = [summary(plan, client, rules) for plan in plans]
    kept: dict[Key, int] = {}
    for code, high in limits:
        rows = _rows(made, code, rules)
        left = [min(len(low), kept.get(plan.key, len(low))) for plan, _, low, _, _ in rows]
        total = sum(row[1] * sum(row[2][:n]) for row, n in zip(rows, left, strict=True))
        while total > high + _SLACK:
            open_rows = [i for i in range(len(rows)) if left[i] > 1] or [i for i in range(len(rows)) if left[i]]
            if not open_rows:
                break
            # direct work first, then whichever has the most sets left
            i = max(open_rows, key=lambda i: (rows[i][1] * sum(rows[i][2][: left[i]]) > 0, rows[i][1] >= 1, left[i]))
            left[i] -= 1
            total -= rows[i][1] * rows[i][2][left[i]]
        kept |= {row[0].key: n for row, n in zip(rows, left, strict=True)}
    return _kept_edits(plans, kept)


def _kept_edits(plans: tuple[SessionPlan, ...], kept: dict[Key, int]) -> tuple[Edit, ...]:
    edits = []
    for plan in (one for session in plans for one in session.exercises):
        n = kept.get(plan.key, set_count(plan.scheme))
        if n == 0:
            edits.append(Edit("exercise", plan.key, "remove", None))
        elif n < set_count(plan.scheme):
            edits.append(Edit("exercise", plan.key, "scheme", with_sets(plan.scheme, n)))
    return tuple(edits)


@lru_cache(maxsize=8192)
def _raise(
    plans: tuple[SessionPlan, ...], client: ClientTraits, rules: Rules, code: str, low: float
) -> tuple[Edit, ...]:
    """Edits that bring a week's high count up to `low`: sets onto direct work with the fewest; or none."""
    every = _rows([summary(p, client, rules) for p in plans], code, rules)
    rows = [row for row in every if row[4] > 0]
    direct = [row for row in rows if row[1] >= 1] or rows
    total = sum(share * sum(high) for _, share, _, high, _ in every)
    sets = [len(row[3]) for row in direct]
    while total < low - _SLACK:
        i = min(range(len(direct)), key=lambda i: sets[i], default=None)
        if i is None or sets[i] >= MOST_SETS:
            return ()
        sets[i] += 1
        total += direct[i][1] * direct[i][4]
    changed = [(row[0], n) for row, n in zip(direct, sets, strict=True) if n > len(row[3])]
    try:
        return tuple(Edit("exercise", plan.key, "scheme", with_sets(plan.scheme, n)) for plan, n in changed)
    except EngineError:
        return ()


Week = tuple[int, tuple[SessionSummary, ...], tuple[tuple[str, MuscleWeek], ...]]


def volume_flags(weeks: Sequence[Week], client: ClientTraits, rules: Rules) -> list[Flag]:
    """One flag a muscle above its band, and one a muscle marked to grow below it, over all weeks."""
    above: dict[str, list[tuple[int, float, tuple[SessionSummary, ...]]]] = {}
    below: dict[str, list[tuple[int, float, tuple[SessionSummary, ...]]]] = {}
    grow = [code for code, mark in client.marks if mark == "grow"]
    bands = {code: band_for(client, code, rules) for _, _, totals in weeks for code, _ in totals}
    bands |= {code: band_for(client, code, rules) for code in grow}
    for week_no, sessions, totals in weeks:
        counted = dict(totals)
        for code, week in totals:
            band = bands[code]
            if band and week.low > band[0][1] + _SLACK:
                above.setdefault(code, []).append((week_no, week.low, sessions))
        for code in grow:
            band, high = bands[code], counted[code].high if code in counted else 0.0
            if band and sessions and high < band[0][0] - _SLACK:
                below.setdefault(code, []).append((week_no, high, sessions))
    made = [_above_flag(code, rows, client, rules) for code, rows in above.items()]
    return made + [_below_flag(code, rows, client, rules) for code, rows in below.items()]


Rows = list[tuple[int, float, tuple[SessionSummary, ...]]]


def _above_flag(code: str, rows: Rows, client: ClientTraits, rules: Rules) -> Flag:
    found = band_for(client, code, rules)
    assert found is not None
    (_, high), basis = found
    edits = tuple(
        edit for _, _, week in rows for edit in _cut(tuple(one.plan for one in week), client, rules, code, high)
    )
    week_no, sets, name = rows[0][0], max(row[1] for row in rows), muscle(code).name
    numbers = (("muscle", name), ("sets", sets), ("week", week_no), ("high", high))
    label = sets_label([one.plan for _, _, week in rows for one in week], edits)
    remedy = Remedy(f"{label}: {name.lower()} at most {high:g} a week", edits)
    where = Where(week_no=week_no, muscle=code)
    because = Because("sets_above_band", numbers)
    weeks = tuple(row[0] for row in rows)
    return Flag("sets_above_band", "check", where, numbers, because, basis, (remedy,), weeks)


def _below_flag(code: str, rows: Rows, client: ClientTraits, rules: Rules) -> Flag:
    found = band_for(client, code, rules)
    assert found is not None
    (low, _), basis = found
    parts = [_raise(tuple(one.plan for one in week), client, rules, code, low) for _, _, week in rows]
    week_no, sets, name = rows[0][0], min(row[1] for row in rows), muscle(code).name
    numbers = (("muscle", name), ("sets", sets), ("week", week_no), ("low", low))
    remedies = [Remedy(f"No longer mark {name.lower()} to grow", (Edit("client", code, "mark", None),))]
    if all(parts):
        edits = tuple(edit for part in parts for edit in part)
        label = sets_label([one.plan for _, _, week in rows for one in week], edits)
        remedies.insert(0, Remedy(f"{label}: {name.lower()} at least {low:g} a week", edits))
    where = Where(week_no=week_no, muscle=code)
    because = Because("sets_below_band", numbers)
    weeks = tuple(row[0] for row in rows)
    return Flag("sets_below_band", "check", where, numbers, because, basis, tuple(remedies), weeks)
