"""Fatigue over days: one muscle's sessions as ticks, its modelled fatigue as a line, the day the house rule allows."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from coachdesk import engine
from programs.figures.svg import number, percent, px, words

# Sessions are planned by day: every one is taken to be at noon.
NOON_H = 12.0
LINE_EVERY_H = 6.0
LEFT, TOP, PLOT, FOOT = 28, 14, 96, 34
WIDTH = 320
LETTERS = "MTWTFSS"
Impulse = tuple[float, float, float]


@dataclass(frozen=True)
class Work:
    """A session's part for one muscle: programme day (0-based), units, impulses, whether the house rule calls it hard.

    `days_after`: calendar days to the next hard session that the rule asks for after this one.
    """

    day: int
    name: str
    units: float
    impulses: tuple[Impulse, ...]
    is_hard: bool
    days_after: int


@dataclass(frozen=True)
class Point:
    """Fatigue in units at an hour counted from the first day's midnight."""

    hour: float
    units: float


def exercise_impulses(
    exercise: engine.PrescribedExercise, share: float, hour: float, client: engine.ClientTraits, rules: engine.Rules
) -> tuple[Impulse, ...]:
    """(hour, units, half-life in h) of one exercise for a muscle it trains by `share`: what fades alike is one sum."""
    short, long = (engine.half_life_hours(client, failure, rules) for failure in (False, True))
    made = {short: 0.0, long: 0.0}
    for step in (step for one in exercise.sets for step in one):
        made[long if step.to_failure else short] += share * step.impulse
    return tuple((hour, units, half_life) for half_life, units in made.items() if units)


def impulses_of(
    session: engine.PrescribedSession, code: str, client: engine.ClientTraits, rules: engine.Rules = engine.DEFAULT
) -> tuple[Impulse, ...]:
    """(hour of the programme, units, half-life in h) that the exercises of a session add to a muscle."""
    hour = 24.0 * session.day + NOON_H
    made: list[Impulse] = []
    for exercise in session.exercises:
        share = dict(exercise.exercise.muscles).get(code, 0.0)
        if share:
            made += exercise_impulses(exercise, share, hour, client, rules)
    return tuple(made)


def course(impulses: Iterable[Impulse], hours: Iterable[float]) -> list[tuple[float, float]]:
    """(units just before, units just after what falls on it) at each hour, in order.

    What fades alike is carried on as one sum, so a long programme costs no more than a short one.
    """
    waiting, pools, made = sorted(impulses), dict[float, Impulse](), []
    for hour in hours:
        _take(waiting, pools, hour, lambda when, at: when < at)
        before = engine.fatigue_on(tuple(pools.values()), hour) if pools else 0.0
        landed = _take(waiting, pools, hour, lambda when, at: when == at)
        made.append((before, engine.fatigue_on(tuple(pools.values()), hour) if landed else before))
    return made


def _take(
    waiting: list[Impulse], pools: dict[float, Impulse], hour: float, due: Callable[[float, float], bool]
) -> bool:
    """Move the impulses that are due into the sum that fades with their half-life; whether there were any."""
    count = 0
    while count < len(waiting) and due(waiting[count][0], hour):
        when, units, half_life = waiting[count]
        carried = engine.fatigue_on((pools[half_life],), when) if half_life in pools else 0.0
        pools[half_life] = (when, carried + units, half_life)
        count += 1
    del waiting[:count]
    return count > 0


def line_of(works: Iterable[Work], first_day: int, days: int) -> tuple[Point, ...]:
    """The fatigue line over `days` from `first_day`; a session is a step straight up, what came before counts."""
    impulses = [impulse for work in works for impulse in work.impulses]
    start, end = 24.0 * first_day, 24.0 * (first_day + days)
    jumps = {hour for hour, _, _ in impulses if start <= hour <= end}
    hours = sorted({start + n * LINE_EVERY_H for n in range(int((end - start) / LINE_EVERY_H) + 1)} | jumps)
    points = []
    for hour, (before, after) in zip(hours, course(impulses, hours), strict=True):
        points += [Point(hour - start, before)] if hour in jumps else []
        points.append(Point(hour - start, after))
    return tuple(points)


def noon_units(works: Iterable[Work], first_day: int, days: int) -> tuple[float, ...]:
    """Units at noon of each day, before that day's session."""
    impulses = [impulse for work in works for impulse in work.impulses]
    noons = [24.0 * (first_day + n) + NOON_H for n in range(days)]
    return tuple(before for before, _ in course(impulses, noons))


def next_hard_day(works: Iterable[Work], until_day: int) -> int | None:
    """The first programme day on which another hard session keeps the house rule after the last hard one."""
    hard = [work for work in works if work.is_hard and work.day <= until_day]
    return max((work.day + work.days_after for work in hard), default=None)


def top_of(points: Sequence[Point]) -> float:
    """The top of the scale: the next whole even number of units above the line, at least 2."""
    most = max((point.units for point in points), default=0.0)
    return max(2.0, 2.0 * -(-most // 2))


def day_words(start: date | None, first_day: int, day: int) -> str:
    """'Thu 26 Nov', or 'day 4 of week 2' in a template, for a day of the programme."""
    if start is None:
        return f"day {day % 7 + 1} of week {day // 7 + 1}"
    on = start + timedelta(days=day)
    return f"{on:%a} {on.day} {on:%b}"


def sentence_of(works: Sequence[Work], name: str, first_day: int, days: int, start: date | None, limit: float) -> str:
    """The answer in words: from when the next hard session is within the house rule."""
    ready = next_hard_day(works, first_day + days - 1)
    if ready is None:
        return (
            f"No session is hard for {name.lower()} ({number(limit)} units or more), so the house rule asks for no gap."
        )
    last = max((work for work in works if work.is_hard), key=lambda work: work.day)
    after = f"after {last.name} on {day_words(start, first_day, last.day)} ({number(last.units)} units)"
    return f"{name}: {after} the next hard session is within the house rule from {day_words(start, first_day, ready)}."


def fatigue_svg(
    works: Sequence[Work], name: str, *, first_day: int, days: int, start: date | None, limit: float
) -> SafeString:
    """The picture over `days` days; across in shares of its width, so that it narrows without squeezing words."""
    points = line_of(works, first_day, days)
    top, hours = top_of(points), 24.0 * days
    ready = next_hard_day(works, first_day + days - 1)
    said = sentence_of(works, name, first_day, days, start, limit)
    parts = [
        f'<svg class="fatigue" width="{WIDTH}" height="{TOP + PLOT + FOOT}" role="img" '
        f'aria-label="{escape(f"Modelled fatigue over {days} days. {said}")}">',
        *_scale(top),
        f'<svg class="fatigue-plot" x="{LEFT}" y="{TOP}" width="90%" height="{PLOT}" overflow="visible">',
        *_days(first_day, days, start),
        *_curve(points, hours, top),
        *(part for work in works if first_day <= work.day < first_day + days for part in _tick(work, first_day, hours)),
        *_ready(ready, first_day, days),
        "</svg></svg>",
    ]
    return mark_safe("".join(parts))


def _scale(top: float) -> list[str]:
    parts = [words("0", 10, "units", "label")]
    for share, text in ((0.0, "0"), (0.5, number(top / 2)), (1.0, number(top))):
        y = TOP + PLOT * (1 - share)
        kind = "gridline" if share else "axis"
        parts.append(f'<line class="{kind}" x1="{LEFT}" x2="100%" y1="{px(y)}" y2="{px(y)}"/>')
        if share < 1:
            parts.append(words(str(LEFT - 6), y + 4, text, "tick", ' text-anchor="end"'))
        else:
            parts.append(words(str(LEFT - 6), y + 8, text, "tick", ' text-anchor="end"'))
    return parts


def _days(first_day: int, days: int, start: date | None) -> list[str]:
    parts = []
    for n in range(days):
        middle = percent(n + 0.5, days)
        day = first_day + n
        letter = LETTERS[(start + timedelta(days=day)).weekday()] if start else LETTERS[day % 7]
        parts.append(words(middle, PLOT + 16, letter, "tick", ' text-anchor="middle"'))
        if n % 7 == 0:
            parts.append(words(percent(n, days), PLOT + 31, day_words(start, first_day, day), "label"))
            if n:
                x = percent(n, days)
                parts.append(f'<line class="gridline" x1="{x}" x2="{x}" y1="0" y2="{PLOT}"/>')
    return parts


def _curve(points: Sequence[Point], hours: float, top: float) -> list[str]:
    at = [(percent(p.hour, hours), px(PLOT * (1 - p.units / top))) for p in points]
    return [f'<line class="strength" x1="{x1}" x2="{x2}" y1="{y1}" y2="{y2}"/>' for (x1, y1), (x2, y2) in pairwise(at)]


def _tick(work: Work, first_day: int, hours: float) -> list[str]:
    x = percent(24.0 * (work.day - first_day) + NOON_H, hours)
    kind = "bar-top" if work.is_hard else "axis"
    return [f'<line class="{kind}" x1="{x}" x2="{x}" y1="{PLOT}" y2="{PLOT - 9}"/>']


def _ready(ready: int | None, first_day: int, days: int) -> list[str]:
    if ready is None or not first_day <= ready < first_day + days:
        return []
    x = percent(ready - first_day, days)
    late = ready - first_day > days / 2
    anchor = ' text-anchor="end" dx="-4"' if late else ' dx="4"'
    return [
        f'<line class="cursor" x1="{x}" x2="{x}" y1="-4" y2="{PLOT}"/>',
        words(x, 6, "next hard session from here", "cursor-label", anchor),
    ]
