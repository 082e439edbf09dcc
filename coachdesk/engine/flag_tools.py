"""What the finders of flags share: labels that say what a remedy does, and ways to take sets off."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from .context import Context
from .flags import Edit
from .plans import ExercisePlan, SessionPlan
from .scheme import Scheme
from .scheme_edits import set_count, with_sets
from .scheme_words import plain
from .summary import SessionSummary

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
Plans = Sequence[SessionPlan]
SLACK = 1e-6


def weekday(day: int) -> str:
    """The day's name; programmes begin on a Monday."""
    return DAYS[day % 7]


def ahead(sessions: Sequence[SessionSummary], context: Context) -> list[SessionSummary]:
    """The sessions from today on; all of them while today is not known."""
    if context.today is None:
        return list(sessions)
    return [one for one in sessions if one.plan.day >= context.today]


def name_of(plan: SessionPlan) -> str:
    """The session's name, or its weekday."""
    return plan.name or f"the session on {weekday(plan.day)}"


def count_words(number: float, one: str) -> str:
    """'1 set', '2 sets'."""
    shown = plain(round(number, 1))
    return f"{shown} {one if shown == '1' else one + 's'}"


def listed(parts: Sequence[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def weeks_words(weeks: Iterable[int]) -> str:
    """', week 8', ', weeks 8 and 10', ', weeks 8 to 10'; nothing for no week."""
    found = sorted(set(weeks))
    if not found:
        return ""
    if len(found) == 1:
        return f", week {found[0]}"
    if len(found) > 2 and found[-1] - found[0] == len(found) - 1:
        return f", weeks {found[0]} to {found[-1]}"
    if len(found) > 4:
        return f", {len(found)} weeks from week {found[0]} to {found[-1]}"
    return f", weeks {listed([str(week) for week in found])}"


def difference(before: SessionPlan, after: SessionPlan) -> tuple[Edit, ...]:
    """Edits that turn one plan into the other: new schemes and exercises taken out."""
    left = {one.key: one.scheme for one in after.exercises}
    edits = []
    for one in before.exercises:
        if one.key not in left:
            edits.append(Edit("exercise", one.key, "remove", None))
        elif left[one.key] != one.scheme:
            edits.append(Edit("exercise", one.key, "scheme", left[one.key]))
    return tuple(edits)


def one_set_less(plan: SessionPlan, index: int) -> SessionPlan:
    """The session with a set less of the exercise at that place; without it when there was one."""
    one = plan.exercises[index]
    n = set_count(one.scheme) - 1
    kept = (replace(one, scheme=with_sets(one.scheme, n)),) if n else ()
    return replace(plan, exercises=(*plan.exercises[:index], *kept, *plan.exercises[index + 1 :]))


def cut_sets(
    plan: SessionPlan, too_much: Callable[[SessionPlan], bool], open_to: Callable[[ExercisePlan], float]
) -> SessionPlan:
    """Sets taken off one by one until `too_much` no longer holds, from the exercise with the most sets.

    `open_to`: 0 for exercises that are left alone; among equals the greater number gives first, then the later.
    """
    while too_much(plan):
        rows = [(i, one) for i, one in enumerate(plan.exercises) if open_to(one) > 0]
        if not rows:
            break
        several = [row for row in rows if set_count(row[1].scheme) > 1] or rows
        index = max(several, key=lambda row: (set_count(row[1].scheme), open_to(row[1]), row[0]))[0]
        plan = one_set_less(plan, index)
    return plan


def edited(plans: Iterable[SessionPlan], edits: Sequence[Edit]) -> tuple[SessionPlan, ...]:
    """The plans with edits of exercises made; keys that are not there are passed over."""
    schemes = {edit.key: edit.value for edit in edits if edit.field == "scheme"}
    removed = {edit.key for edit in edits if edit.field == "remove"}
    made = []
    for plan in plans:
        rows = [one for one in plan.exercises if one.key not in removed]
        rows = [_with_scheme(one, schemes.get(one.key)) for one in rows]
        made.append(replace(plan, exercises=tuple(rows)))
    return tuple(made)


def _with_scheme(plan: ExercisePlan, scheme: object) -> ExercisePlan:
    return replace(plan, scheme=scheme) if isinstance(scheme, Scheme) else plan


class _Cut:
    """What happens to one exercise on one weekday, over weeks: sets taken off (or put on), or all of it gone."""

    def __init__(self) -> None:
        self.off: list[int] = []
        self.gone = True

    def words(self, name: str, verb: str, first: bool) -> str:
        if self.gone and verb == "off":
            return f"{'Take' if first else 'take'} out {name}"
        low, high = min(self.off), max(self.off)
        number = str(low) if low == high else f"{low} to {high}"
        number = "one" if number == "1" else number
        unit = (" set" if number == "one" else " sets") if first else ""
        start = {"off": "Take ", "on": "Add "}[verb] if first else ""
        return f"{start}{number}{unit} {'off' if verb == 'off' else 'to'} {name}"


def sets_label(plans: Plans, edits: Sequence[Edit], *, most: int = 3) -> str:
    """What edits do to the numbers of sets: 'Take one set off Bench press, Monday, and 2 off Fly, Tuesday'."""
    rows = {one.key: (one, plan) for plan in plans for one in plan.exercises}
    cuts: dict[tuple[str, str], _Cut] = {}
    weeks, total, verb = set(), 0, "off"
    for edit in edits:
        if edit.target != "exercise" or edit.key not in rows:
            continue
        one, plan = rows[edit.key]
        after = set_count(edit.value) if isinstance(edit.value, Scheme) else 0
        change = set_count(one.scheme) - after
        cut = cuts.setdefault((one.exercise.name, weekday(plan.day)), _Cut())
        cut.off.append(abs(change))
        cut.gone = cut.gone and edit.field == "remove"
        verb, total = ("on" if change < 0 else verb), total + abs(change)
        weeks.add(plan.week_no)
    where = weeks_words(weeks) if len({plan.week_no for plan in plans}) > 1 else ""
    if len(cuts) > most:
        names = {name for name, _ in cuts}
        word = "off" if verb == "off" else "to"
        start = "Take" if verb == "off" else "Add"
        return f"{start} {count_words(total, 'set')} {word} {count_words(len(names), 'exercise')}{where}"
    alike = {(tuple(sorted(set(cut.off))), cut.gone) for cut in cuts.values()}
    days = {day for _, day in cuts}
    if len(alike) == len(days) == 1 and len(cuts) > 1:
        (day,), first = days, next(iter(cuts.values()))
        each = "" if first.gone and verb == "off" else " each"
        words = first.words(listed([name for name, _ in cuts]), verb, True)
        return f"{words.replace(' off ', f'{each} off ').replace(' to ', f'{each} to ')}, {day}{where}"
    parts = [cut.words(f"{name}, {day}", verb, i == 0) for i, ((name, day), cut) in enumerate(cuts.items())]
    return ", and ".join(parts) + where
