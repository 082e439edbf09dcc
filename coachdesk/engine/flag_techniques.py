"""Flags on advanced techniques: too large a share of the work, too many weeks running, not last in the day."""

from __future__ import annotations

from collections.abc import Sequence

from .because import Because, sentence
from .constants import source
from .context import Context
from .flag_tools import SLACK, count_words, listed, name_of, weekday, weeks_words
from .flag_volume import Week
from .flags import Edit, Flag, Remedy, Where
from .muscles import MUSCLES, muscle
from .plans import ClientTraits, Key, SessionPlan
from .rules import Rules
from .scheme import Scheme
from .summary import SessionSummary, Technique
from .technique_edits import advanced_sets, with_straight_sets, with_techniques

Row = tuple[SessionSummary, Technique]
Numbers = tuple[tuple[str, float | str], ...]


def technique_flags(weeks: Sequence[Week], client: ClientTraits, rules: Rules, context: Context) -> list[Flag]:
    """At most one flag for the share, one for the weeks running; one an exercise that is not last in its session."""
    if not any(one.techniques for _, sessions, _ in weeks for one in sessions):
        return []
    return _share_flags(weeks, rules) + _long_flags(weeks, rules, context) + _order_flags(weeks)


def _rows(sessions: Sequence[SessionSummary]) -> list[Row]:
    return [(one, technique) for one in sessions for technique in one.techniques]


def _shares(rows: Sequence[tuple[Technique, float]], totals: dict[str, float]) -> list[tuple[float, str, float, float]]:
    """(share, muscle, its sets with a technique, all its hard sets) of muscles trained directly with techniques."""
    sums: dict[str, float] = {}
    direct = set()
    for technique, hard in rows:
        for code, share in technique.plan.exercise.muscles:
            sums[code] = sums.get(code, 0.0) + share * hard
            if share >= 1 and hard > 0:
                direct.add(code)
    found = [(sums[code] / max(totals.get(code, 0.0), sums[code], 1e-9), code, sums[code], totals.get(code, 0.0))
             for code in direct]  # fmt: skip
    return sorted(found, reverse=True)


def _too_many(week: Week, rules: Rules) -> list[Because]:
    """Which of the three limits of a week are broken, the share of a muscle first."""
    week_no, sessions, totals = week
    rows = _rows(sessions)
    lows = {code: one.low for code, one in totals}
    made = []
    for share, code, count, sets in _shares([(technique, technique.hard) for _, technique in rows], lows)[:1]:
        if share > rules.technique_share + SLACK and count > 1 + SLACK:
            numbers: Numbers = (
                ("muscle", muscle(code).name), ("count", count), ("sets", sets), ("week", week_no),
                ("percent", round(100 * share)), ("most", 100 * rules.technique_share), ("also", ""),
            )  # fmt: skip
            made.append(Because("techniques_share", numbers))
    most = max((technique.sets for _, technique in rows), default=0)
    if most > rules.technique_per_exercise + SLACK:
        one = next(technique for _, technique in rows if technique.sets == most)
        numbers = (
            ("exercise", one.plan.exercise.name), ("count", most), ("most", rules.technique_per_exercise), ("also", ""),
        )  # fmt: skip
        made.append(Because("techniques_per_exercise", numbers))
    count_sessions = len({one.plan.key for one, _ in rows})
    if count_sessions > rules.technique_sessions + SLACK:
        numbers = (("count", count_sessions), ("week", week_no), ("most", rules.technique_sessions))
        made.append(Because("techniques_sessions", numbers))
    return made


def _share_flags(weeks: Sequence[Week], rules: Rules) -> list[Flag]:
    found = [(week, broken) for week in weeks if (broken := _too_many(week, rules))]
    if not found:
        return []
    (week_no, sessions, _), broken = found[0]
    first = broken[0]
    also = "".join(f". Also: {sentence(one).rstrip('.')}" for one in broken[1:])
    numbers = tuple((name, also if name == "also" else value) for name, value in first.numbers)
    edits = tuple(edit for week, _ in found for edit in _fewer(week, rules))
    plans = [one.plan for week, _ in found for one in week[1]]
    where_row = _rows(sessions)[0]
    code = next((m.code for m in MUSCLES if m.name == dict(numbers).get("muscle")), None)
    where = Where(week_no, where_row[0].plan.key if code is None else None, None, code)
    found_weeks = tuple(week[0] for week, _ in found)
    because = Because(first.kind, numbers)
    label = _straight_label(plans, edits)
    basis = source("technique_share")
    return [Flag("techniques_share", "check", where, numbers, because, basis, (Remedy(label, edits),), found_weeks)]


def _fewer(week: Week, rules: Rules) -> tuple[Edit, ...]:
    """Techniques kept on the last sets of the last exercises, as many as the house rule leaves."""
    _, sessions, totals = week
    rows = _rows(sessions)
    lows = {code: one.low for code, one in totals}
    allowed = int(rules.technique_per_exercise + SLACK)
    kept = {technique.plan.key: min(technique.sets, allowed) for _, technique in rows}

    def broken() -> bool:
        left = [(t, t.hard * kept[t.plan.key] / t.sets) for _, t in rows]
        over = [row for row in _shares(left, lows) if row[0] > rules.technique_share + SLACK and row[2] > 1 + SLACK]
        used = {one.plan.key for one, t in rows if kept[t.plan.key]}
        return bool(over) or len(used) > rules.technique_sessions + SLACK

    while broken():
        # the exercises with the most straight work after them give first, then the earlier ones
        _, one = max(((t.after, t) for _, t in rows if kept[t.plan.key]), key=lambda pair: pair[0])
        kept[one.plan.key] -= 1
    return tuple(
        Edit("exercise", t.plan.key, "scheme", with_techniques(t.plan.scheme, kept[t.plan.key]))
        for _, t in rows
        if kept[t.plan.key] < t.sets
    )


def _straight_label(plans: Sequence[SessionPlan], edits: Sequence[Edit]) -> str:
    """'Make Fly, Monday, and Press, Tuesday, straight sets', or how many sets stay as they are."""
    rows = {one.key: (one, plan) for plan in plans for one in plan.exercises}
    names: dict[str, int] = {}
    weeks = set()
    for edit in edits:
        one, plan = rows[edit.key]
        left = sum(advanced_sets(edit.value)) if isinstance(edit.value, Scheme) else 0
        names[f"{one.exercise.name}, {weekday(plan.day)}"] = left
        weeks.add(plan.week_no)
    gone = [name for name, left in names.items() if not left]
    fewer = [
        f"all but the last {'set' if left == 1 else f'{left} sets'} of {name}" for name, left in names.items() if left
    ]
    tail = weeks_words(weeks) if len({plan.week_no for plan in plans}) > 1 else ""
    shown = fewer + gone
    if len(shown) <= 2:
        return f"Make {listed(shown)}, straight sets{tail}"
    exercises = {name.rpartition(",")[0] for name in names}
    keep = "all but the last sets of " if fewer else ""
    return f"Make {keep}{count_words(len(exercises), 'exercise')} straight sets{tail}"


def _long_flags(weeks: Sequence[Week], rules: Rules, context: Context) -> list[Flag]:
    """Weeks with techniques that follow each other too long, counted through weeks done before."""
    this_week = context.week_no if context.week_no is not None else -(10**9)
    used = {week_no: sessions for week_no, sessions, _ in weeks if _rows(sessions)}
    done = {week_no for week_no in context.technique_weeks if week_no not in {week[0] for week in weeks}}
    runs = _runs(sorted(set(used) | done), rules)
    most = int(rules.technique_weeks + SLACK)
    broken = [run for run in runs if len(run) > most and any(w >= this_week and w in used for w in run[most:])]
    if not broken:
        return []
    over = [w for run in broken for w in run[most:] if w in used and w >= this_week]
    run = broken[0]
    numbers: Numbers = (("count", len(run)), ("week", run[-1]), ("most", most), ("off", rules.technique_off_weeks))
    straight = _rest_weeks(sorted(set(used) | done), used, this_week, rules)
    plans = [one.plan for week_no in straight for one in used[week_no]]
    edits = tuple(
        Edit("exercise", t.plan.key, "scheme", with_straight_sets(t.plan.scheme))
        for week_no in straight
        for _, t in _rows(used[week_no])
    )
    label = f"Straight sets only{weeks_words(plan.week_no for plan in plans)}"
    where = Where(week_no=over[0])
    because = Because("techniques_too_long", numbers)
    basis = source("technique_weeks")
    return [Flag("techniques_too_long", "check", where, numbers, because, basis, (Remedy(label, edits),), tuple(over))]


def _runs(used: Sequence[int], rules: Rules) -> list[list[int]]:
    """Weeks with techniques, parted where enough weeks without lie between."""
    runs: list[list[int]] = []
    for week in used:
        if runs and week - runs[-1][-1] - 1 < rules.technique_off_weeks:
            runs[-1].append(week)
        else:
            runs.append([week])
    return runs


def _rest_weeks(
    weeks: Sequence[int], used: dict[int, tuple[SessionSummary, ...]], this_week: int, rules: Rules
) -> list[int]:
    """Which weeks from this one on become straight: after a full run, as long as the house rule asks."""
    straight: list[int] = []
    run: list[int] = []
    for week in weeks:
        if run and week - run[-1] - 1 >= rules.technique_off_weeks:
            run = []
        if len(run) >= rules.technique_weeks - SLACK and week >= this_week and week in used:
            straight.append(week)
        else:
            run.append(week)
    return straight


def _order_flags(weeks: Sequence[Week]) -> list[Flag]:
    groups: dict[tuple[str, int, Key], list[Row]] = {}
    for _, sessions, _ in weeks:
        for one, technique in _rows(sessions):
            if technique.after:
                key = (one.plan.name, one.plan.day % 7, technique.plan.exercise.key)
                groups.setdefault(key, []).append((one, technique))
    by_session: dict[tuple[str, int], list[list[Row]]] = {}
    for (name, day, _), rows in groups.items():
        by_session.setdefault((name, day), []).append(rows)
    return [_order_flag([row for rows in found for row in rows]) for found in by_session.values()]


def _order_flag(rows: list[Row]) -> Flag:
    """One flag a session: its first technique that is followed by straight work."""
    one, technique = max(rows, key=lambda row: (-row[0].plan.day, row[1].after))
    found_weeks = {s.plan.week_no for s, _ in rows}
    weeks = weeks_words(found_weeks) if len(found_weeks) > 1 else ""
    name = technique.plan.exercise.name
    numbers: Numbers = (("exercise", name), ("after", technique.after), ("session", name_of(one.plan)))
    moves = tuple(Edit("exercise", t.plan.key, "last", None) for _, t in rows)
    straight = tuple(Edit("exercise", t.plan.key, "scheme", with_straight_sets(t.plan.scheme)) for _, t in rows)
    names = listed(list(dict.fromkeys(t.plan.exercise.name for _, t in rows)))
    day = weekday(one.plan.day)
    remedies = (
        Remedy(f"Move {names} to the end of {name_of(one.plan)}, {day}{weeks}", moves),
        Remedy(f"Make {names}, {day}, straight sets{weeks}", straight),
    )
    where = Where(one.plan.week_no, one.plan.key, technique.plan.key, None)
    because = Because("techniques_not_last", numbers)
    basis = source("technique_share")
    return Flag("techniques_not_last", "note", where, numbers, because, basis, remedies, tuple(sorted(found_weeks)))
