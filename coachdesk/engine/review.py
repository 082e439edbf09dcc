"""What to change next week: proposals from what was done, as flags with ways out that the desk can apply."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from .because import Because, reason
from .constants import TRADE, value
from .errors import instance, items, number, text, whole
from .flag_tools import SLACK, listed
from .flags import Edit, Flag, Remedy, Where
from .muscles import muscle
from .need import Trend, facts_of_trends
from .plans import Key
from .progress import lighter_week
from .rules import DEFAULT, Rules
from .scheme import MOST_SETS, RepRule, Scheme
from .scheme_edits import set_count, with_sets
from .scheme_shift import own_load, with_reps

STALL_WEEKS, WEEKS = int(value("stall_weeks")), int(value("review_weeks"))
ATTENDANCE, LESS = value("review_attendance"), value("review_less")
FALLING, SHOWN_LIFTS = int(value("review_falling")), int(value("review_listed"))
REST, MOST_REST = value("review_rest"), value("review_rest_most")
_FEWEST_REPS, _LESS_REPS = int(value("review_least_reps")), int(value("review_fewer_reps"))


@dataclass(frozen=True)
class PlannedLift:
    """One planned exercise of a week: `key` of the row, `exercise` and its name, direct muscles."""

    key: Key
    week_no: int
    exercise: Key
    name: str
    scheme: Scheme
    direct: tuple[str, ...] = ()


@dataclass(frozen=True)
class LiftDone:
    """An exercise by its log: the chance that its maximum rises, its change in per cent a week, sets and weeks seen."""

    exercise: Key
    name: str
    chance: float
    percent: float
    sets: int
    weeks: int


@dataclass(frozen=True)
class MuscleDone:
    """A muscle marked to grow: sets done in the last weeks by the high count, oldest first; planned now and next."""

    code: str
    low: float
    done: tuple[float, ...]
    now: float
    coming: float


@dataclass(frozen=True)
class WeekDone:
    """A week that is over, without days away: planned sessions that were due, and those that were done."""

    due: int
    done: int


@dataclass(frozen=True)
class Review:
    """What is looked at on a day. `week_no`: next week; `now` and `coming`: what is planned for this week and next.

    `later`: the same exercises in the weeks after it. `tested`: exercises with a test ahead; `test_day`: when another
    would be, in days since the programme began. `missed`: (session key of next week, its name, how often it was
    missed in the weeks).
    """

    week_no: int
    now: tuple[PlannedLift, ...]
    coming: tuple[PlannedLift, ...]
    lifts: tuple[LiftDone, ...] = ()
    muscles: tuple[MuscleDone, ...] = ()
    weeks: tuple[WeekDone, ...] = ()
    later: tuple[PlannedLift, ...] = ()
    tested: tuple[Key, ...] = ()
    test_day: int | None = None
    missed: tuple[tuple[Key, str, int], ...] = ()

    def __post_init__(self) -> None:
        whole("week number", self.week_no, 1, 1000)
        for name, kind in (("now", PlannedLift), ("coming", PlannedLift), ("later", PlannedLift), ("lifts", LiftDone)):
            for one in items(name, getattr(self, name), most=2000):
                instance(name, one, kind)
        for lift in self.lifts:
            text("exercise", lift.name)
            number("chance", lift.chance, 0, 1)
        for week in items("weeks", self.weeks, most=52):
            whole("sessions done", instance("week", week, WeekDone).done, 0, week.due)
        for one in items("muscles", self.muscles, most=60):
            muscle(instance("muscle", one, MuscleDone).code)

    @property
    def attendance(self) -> tuple[int, int]:
        """(done, due) of the last weeks."""
        return sum(week.done for week in self.weeks), sum(week.due for week in self.weeks)


def next_week(review: Review, rules: Rules = DEFAULT) -> tuple[Flag, ...]:
    """Proposals for the coming week, the gravest first; none where nothing is planned for it.

    What the coming week changes already is not proposed again: a lift that is planned otherwise than this week, or
    has a test, is no stall to act on, and a lighter week answers both falling strength and missed sessions.
    """
    instance("review", review, Review)
    instance("rules", rules, Rules)
    if not review.coming:
        return ()
    falling = _overreached(review, rules)
    missed = [] if falling else _missed(review, rules)
    # More work is no answer to strength that falls or to sessions that do not take place.
    more = [] if falling or missed else _under_done(review)
    return (*falling, *missed, *more, *([] if falling else _stalls(review, rules)))


def _sets(lifts: Iterable[PlannedLift]) -> int:
    return sum(set_count(one.scheme) for one in lifts)


def _is_lighter(now: Sequence[PlannedLift], coming: Sequence[PlannedLift]) -> bool:
    """Whether the coming week has clearly fewer sets than this one."""
    return _sets(coming) <= (1 - LESS) * _sets(now)


def _with(lifts: Sequence[PlannedLift], change: dict[Key, Scheme]) -> list[PlannedLift]:
    return [replace(one, scheme=change.get(one.key, one.scheme)) for one in lifts]


def _edits(change: dict[Key, Scheme]) -> tuple[Edit, ...]:
    return tuple(Edit("exercise", key, "scheme", scheme) for key, scheme in change.items())


def _lighter(review: Review, rules: Rules) -> list[Remedy]:
    """A lighter week, and a set less of everything: those of them that make the week clearly lighter."""
    week = f"week {review.week_no}"
    made = []
    for label, fewer in (
        (f"Make {week} a lighter week: {100 * rules.lighter_week:.0f} % fewer sets", lambda n: lighter_week(n, rules)),
        (f"Take one set off every exercise of {week}", lambda n: max(1, n - 1)),
    ):
        counts = {one.key: (one.scheme, fewer(set_count(one.scheme))) for one in review.coming}
        change = {key: with_sets(old, n) for key, (old, n) in counts.items() if n < set_count(old)}
        if change and _is_lighter(review.now, _with(review.coming, change)):
            made.append(Remedy(label, _edits(change)))
    return made


def _told(review: Review, rules: Rules) -> tuple[list[LiftDone], list[LiftDone]]:
    """(falling, not rising) lifts that are planned next week, by the rules that the roster goes by."""
    planned = {one.exercise for one in review.coming}
    here = [one for one in review.lifts if one.exercise in planned]
    found = facts_of_trends((Trend(str(one.exercise), one.chance, one.sets) for one in here), rules)
    return tuple(  # type: ignore[return-value]
        sorted((one for one in here if str(one.exercise) in found[kind]), key=lambda one: (-one.sets, one.name))
        for kind in ("falling", "stalled")
    )


def _overreached(review: Review, rules: Rules) -> list[Flag]:
    """Strength falls in several lifts at once, and next week asks for as much again."""
    falling, _ = _told(review, rules)
    if len(falling) < FALLING or _is_lighter(review.now, review.coming):
        return []
    remedies = _lighter(review, rules)
    if not remedies:
        return []
    words = listed([f"{one.name} ({one.percent:+.1f} % a week)" for one in falling[:SHOWN_LIFTS]])
    more = f" and {len(falling) - SHOWN_LIFTS} more" if len(falling) > SHOWN_LIFTS else ""
    because = reason(
        "overreached", count=len(falling), list=words + more, chance=100 * rules.need_falling_chance,
        now=_sets(review.now), coming=_sets(review.coming),
    )  # fmt: skip
    numbers = (("lifts", len(falling)), ("now", _sets(review.now)), ("coming", _sets(review.coming)))
    return [_flag("overreached", "check", Where(review.week_no), numbers, because, remedies)]


def _missed(review: Review, rules: Rules) -> list[Flag]:
    """Too few of the planned sessions take place, and next week plans as many sets again."""
    done, due = review.attendance
    if len(review.weeks) < WEEKS or not due or done >= ATTENDANCE * due or _is_lighter(review.now, review.coming):
        return []
    remedies = _lighter(review, rules)
    often = max(review.missed, key=lambda one: one[2], default=None)
    if often is not None and often[2] >= WEEKS - 1:
        words = f"Take {often[1]} out of week {review.week_no}: missed in {often[2]} of {len(review.weeks)} weeks"
        remedies.append(Remedy(words, (Edit("session", often[0], "remove", None),)))
    if not remedies:
        return []
    because = reason("sessions_missed", done=done, due=due, weeks=len(review.weeks), least=100 * ATTENDANCE)
    numbers = (("done", done), ("due", due), ("coming", _sets(review.coming)))
    return [_flag("sessions_missed", "check", Where(review.week_no), numbers, because, remedies)]


def _under_done(review: Review) -> list[Flag]:
    """Muscles marked to grow that stayed below their band week after week, with no more planned for the next."""
    made = []
    for one in review.muscles:
        below = len(one.done) >= WEEKS and all(sets < one.low for sets in one.done[-WEEKS:])
        if not below or one.coming > one.now + SLACK:
            continue
        rows = [lift for lift in review.coming if one.code in lift.direct and set_count(lift.scheme) < MOST_SETS]
        rows = list({lift.exercise: lift for lift in rows}.values())[:2]
        remedies = [_more([row], f"Add one set to {row.name}, week {review.week_no}") for row in rows]
        if len(rows) > 1:
            names = listed([row.name for row in rows])
            remedies.append(_more(rows, f"Add one set each to {names}, week {review.week_no}"))
        if remedies:
            name, shown = muscle(one.code).name, one.done[-WEEKS:]
            mean = round(sum(shown) / len(shown), 1)
            because = reason("under_done", muscle=name, sets=mean, weeks=len(shown), low=one.low, coming=one.coming)
            numbers = (("sets", mean), ("low", one.low), ("coming", round(one.coming, 2)))
            made.append(_flag("under_done", "note", Where(review.week_no, muscle=one.code), numbers, because, remedies))
    return made


def _more(rows: Sequence[PlannedLift], label: str) -> Remedy:
    return Remedy(label, _edits({row.key: with_sets(row.scheme, set_count(row.scheme) + 1) for row in rows}))


def _stalls(review: Review, rules: Rules) -> list[Flag]:
    """Lifts that do not rise and are planned on as they are, those with the most evidence first."""
    falling, stalled = _told(review, rules)
    made = []
    for one in [*falling, *stalled]:
        rows = [row for row in review.coming if row.exercise == one.exercise]
        same = sorted(_said(row) for row in rows) == sorted(_said(r) for r in review.now if r.exercise == one.exercise)
        if one.weeks < STALL_WEEKS or one.exercise in review.tested or not same:
            continue
        remedies = _ways_on(one, rows, review)
        if remedies:
            made.append(_stall(one, rows, remedies, review.week_no))
    return made[:SHOWN_LIFTS]


def _said(row: PlannedLift) -> str:
    return repr(row.scheme)


def _stall(one: LiftDone, rows: Sequence[PlannedLift], remedies: list[Remedy], week_no: int) -> Flag:
    chance = round(100 * one.chance)
    because = reason(
        "stalled", exercise=one.name, percent=f"{one.percent:+.1f}", chance=chance, sets=one.sets, weeks=one.weeks
    )
    # In tens: the chance moves a little with every set, and a proposal set aside should not return for that.
    numbers = (("exercise", one.name), ("chance", 10 * round(chance / 10)))
    return _flag("stalled", "note", Where(week_no, exercise_key=rows[0].key), numbers, because, remedies)


def _ways_on(one: LiftDone, rows: Sequence[PlannedLift], review: Review) -> list[Remedy]:
    """More rest, a set more, fewer and heavier reps, each from next week on; and a test."""
    every = [*rows, *(row for row in review.later if row.exercise == one.exercise)]
    since, made = f"from week {review.week_no} on", []
    rested = {r.key: replace(r.scheme, rest_s=r.scheme.rest_s + REST) for r in every if _can_rest(r.scheme)}
    if len(rested) == len(every):
        made.append(Remedy(f"Rest {REST:.0f} s longer between sets of {one.name}, {since}", _edits(rested)))
    if all(set_count(row.scheme) < MOST_SETS for row in every):
        made.append(_more(every, f"Add one set to {one.name}, {since}"))
    heavier = {row.key: fewer for row in every if (fewer := _fewer_reps(row.scheme)) is not None}
    if len(heavier) == len(every):
        made.append(Remedy(f"Do {_LESS_REPS} reps less with more load in {one.name}, {since}", _edits(heavier)))
    if review.test_day is not None:
        made.append(
            Remedy(
                f"Test {one.name} again in week {review.week_no}",
                (Edit("date", one.exercise, "test", review.test_day),),
            )
        )
    return made


def _can_rest(scheme: Scheme) -> bool:
    return not scheme.parts and set_count(scheme) > 1 and scheme.rest_s + REST <= MOST_REST


def _fewer_reps(scheme: Scheme) -> Scheme | None:
    """Straight sets by effort with three reps less, so that the load follows; None where that is not so simple."""
    step = scheme.step
    if scheme.kind != "straight" or step is None or step.reps.kind not in ("reps", "range"):
        return None
    low, high = step.reps.low - _LESS_REPS, step.reps.high - _LESS_REPS
    if own_load(scheme).kind != "effort" or low < _FEWEST_REPS:
        return None
    return with_reps(scheme, RepRule(step.reps.kind, low, high))


def _flag(
    code: str, severity: str, where: Where, numbers: tuple[tuple[str, float | str], ...], because: Because,
    remedies: Sequence[Remedy],
) -> Flag:  # fmt: skip
    weeks = (where.week_no,) if where.week_no else ()
    return Flag(code, severity, where, numbers, because, TRADE, tuple(remedies), weeks)
