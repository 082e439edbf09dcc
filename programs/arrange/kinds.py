"""The kinds of progression: what each makes of an exercise's schemes from week to week, by the engine's arithmetic.

Pure: a `Line` is one exercise of one session over the weeks; every function gives what each of its cells becomes, or
says in words why it is left as it is. Nothing is read from or written to the database here.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from coachdesk import engine
from coachdesk.engine.constants import value
from coachdesk.engine.progress import return_cuts

# code, name, what it does
KINDS = (
    ("volume", "Sets", "Starts at a share of the sets planned or of the habit, and raises them every few weeks in "
     "whole sets; what rounding leaves over is carried to the next week."),
    ("load", "Load", "Adds so much to the first week's load every week or every few weeks."),
    ("reps", "Rep ranges", "Gives each week its reps; sets and effort stay."),
    ("double", "Double progression", "A rep more each week up to the top of the range, then the next load and the "
     "range from below, as if every week went as planned."),
    ("goal", "Rep goal", "The load goes one up where the last set beat the goal by two reps in two sessions running; "
     "the cue tells the client so."),
    ("lighter", "Lighter weeks", "Takes sets off every so many weeks, by the house rule."),
    ("layoff", "Return after time away", "Takes sets off the first weeks back: one week after two weeks away, four "
     "weeks after four."),
)  # fmt: skip


@dataclass(frozen=True)
class Cell:
    """One planned exercise: its week, its scheme, what it is loaded on, and the load made for the client.

    `made` in thousandths of the equipment's unit, None when not known.
    """

    key: int
    week: int
    scheme: engine.Scheme
    equipment: engine.Equipment | None = None
    made: int | None = None


@dataclass(frozen=True)
class Line:
    """An exercise of a session over the weeks, first week first.

    `last_sets`: reps of the last set of its latest sessions, oldest first.
    """

    session: str
    exercise: engine.ExerciseTraits
    cells: tuple[Cell, ...]
    last_sets: tuple[int, ...] = ()


@dataclass(frozen=True)
class Ask:
    """What is to be filled in, from week `first` to week `last`; which numbers count depends on `kind`.

    `amount` in thousandths of `unit` or points of % of 1RM (unit '%'), None: the usual step. `start`: sets of the
    whole muscle to begin with (None: what is planned, times `share`). `reps`: one rule a week, run through again.
    """

    kind: str
    first: int
    last: int
    level: str = "intermediate"
    rules: engine.Rules = engine.DEFAULT
    share: float = 1.0
    raise_by: float = 0.07
    every: int = 1
    amount: int | None = None
    unit: str = "kg"
    reps: tuple[engine.RepRule, ...] = ()
    goal: tuple[int, int] = (8, 10)
    days_away: int = 0
    muscle: str = ""
    start: float | None = None

    @property
    def weeks(self) -> int:
        return self.last - self.first + 1


@dataclass(frozen=True)
class Made:
    """What a cell becomes: a scheme, with words for the cue where the kind has some; or `left`, why it stays."""

    scheme: engine.Scheme | None = None
    cue: str = ""
    left: str = ""


Outcome = dict[int, Made]


def filled(lines: Sequence[Line], ask: Ask) -> Outcome:
    """What every cell from the first to the last week becomes, by key."""
    inside = [replace(line, cells=tuple(c for c in line.cells if ask.first <= c.week <= ask.last)) for line in lines]
    lines = [line for line in inside if line.cells]
    if ask.kind == "volume" and ask.muscle:
        return _muscle_volume(lines, ask)
    found: Outcome = {}
    for line in lines:
        found |= _FILLS[ask.kind](line, ask)
    return found


def _each(line: Line, change: Callable[[Cell], engine.Scheme]) -> Outcome:
    """Every cell through `change`; what the engine refuses is left, with its reason."""
    found: Outcome = {}
    for cell in line.cells:
        try:
            found[cell.key] = Made(change(cell))
        except engine.EngineError as wrong:
            found[cell.key] = Made(left=_why(wrong))
    return found


def _why(wrong: engine.EngineError) -> str:
    return f"{wrong.what} is {wrong.value}; it should be {wrong.right}" if wrong.right else wrong.what


def _left(line: Line, why: str) -> Outcome:
    return {cell.key: Made(left=why) for cell in line.cells}


def _sets(cell: Cell, sets: int) -> engine.Scheme:
    if engine.ends_early(cell.scheme):
        raise engine.EngineError("scheme", "a quota", "one with a number of sets: a quota ends by itself")
    return engine.with_sets(cell.scheme, max(1, min(engine.MOST_SETS, sets)))


def _raising(ask: Ask) -> engine.Rules:
    return replace(ask.rules, raise_share=ask.raise_by, raise_weeks=float(ask.every))


def _volume(line: Line, ask: Ask) -> Outcome:
    start = ask.share * engine.set_count(line.cells[0].scheme)
    sets = engine.weekly_sets(start, ask.weeks, rules=_raising(ask))
    return _each(line, lambda cell: _sets(cell, sets[cell.week - ask.first]))


def _share_of(line: Line, muscle: str) -> float:
    return dict(line.exercise.muscles).get(muscle, 0.0)


def planned_sets(lines: Sequence[Line], muscle: str, week: int) -> float:
    """Sets of a muscle planned in a week: direct ones count 1, indirect their share."""
    return sum(
        _share_of(line, muscle) * engine.set_count(cell.scheme) for line in lines for cell in line.cells
        if cell.week == week
    )  # fmt: skip


def _muscle_volume(lines: Sequence[Line], ask: Ask) -> Outcome:
    """A muscle's sets week by week, shared over the exercises that train it directly as they share the first week."""
    first = min((cell.week for line in lines for cell in line.cells), default=ask.first)
    start = ask.start if ask.start is not None else ask.share * planned_sets(lines, ask.muscle, first)
    targets = engine.weekly_sets(start, ask.weeks, rules=_raising(ask))
    direct = [line for line in lines if _share_of(line, ask.muscle) >= 1]
    found: Outcome = {}
    for n, target in enumerate(targets):
        week = ask.first + n
        mine = [(line, cell) for line in direct for cell in line.cells if cell.week == week]
        others = [line for line in lines if line not in direct]
        room = max(len(mine), int(target - planned_sets(others, ask.muscle, week) + 0.5))
        shares = _parted(room, [engine.set_count(line.cells[0].scheme) for line, _ in mine])
        for (line, cell), sets in zip(mine, shares, strict=True):
            found |= _each(replace(line, cells=(cell,)), lambda one, sets=sets: _sets(one, sets))  # type: ignore[misc]
    return found


def _parted(total: int, weights: Sequence[int]) -> list[int]:
    """A whole total (one each at least) parted by weights: the engine's quota, one set kept back for everyone."""
    if not weights:
        return []
    spare = total - len(weights)
    base = [weight - 1 for weight in weights]
    if spare <= 0:
        return [1] * len(weights)
    return [1 + more for more in engine.split_quota(spare, base if any(base) else [1] * len(weights))]


def _load(line: Line, ask: Ask) -> Outcome:
    seed = line.cells[0].scheme
    rule = engine.own_load(seed)
    if rule.kind in ("effort", "rep_max", "place"):
        said = {"effort": "reps and RIR", "rep_max": "a rep maximum", "place": "places of a machine"}[rule.kind]
        return _left(line, f"its load goes by {said}; there is no load to raise")
    percent = rule.kind == "percent"
    if percent != (ask.unit == "%") or (not percent and rule.unit != ask.unit):
        return _left(line, f"its load is in {'% of 1RM' if percent else rule.unit}; this adds {ask.unit} to loads")
    if percent and ask.amount is None:
        return _left(line, "say how many points of % of 1RM to add")
    return _each(line, lambda cell: _heavier(line, cell, ask, (cell.week - ask.first) // ask.every))


def _heavier(line: Line, cell: Cell, ask: Ask, times: int) -> engine.Scheme:
    seed = line.cells[0].scheme

    def change(load: engine.LoadRule) -> engine.LoadRule:
        if ask.unit == "%":
            return engine.load_added(load, times * (ask.amount or 0) / 1000, "percent")
        if ask.amount is not None:
            made = engine.load_added(load, times * ask.amount, "fixed", ask.unit)
            return _makeable(made, cell.equipment)
        return _usual(line, load, cell.equipment, ask, times)

    return engine.with_loads_of(cell.scheme, seed, change)


def _makeable(load: engine.LoadRule, equipment: engine.Equipment | None) -> engine.LoadRule:
    if equipment is None or getattr(equipment, "unit", "") != load.unit or load.value is None:
        return load
    made = engine.round_load(equipment, load.value)
    return load if made is None else replace(load, value=made)


def _usual(
    line: Line, load: engine.LoadRule, equipment: engine.Equipment | None, ask: Ask, times: int
) -> engine.LoadRule:
    area = engine.body_area(line.exercise)
    if equipment is None or getattr(equipment, "unit", "") != load.unit:
        step, _ = engine.load_step(ask.level, area, load.unit)
        return engine.load_added(load, times * step, "fixed", load.unit)
    made = int(load.value or 0)
    for _ in range(times):
        made = engine.next_load(made, ask.level, area, equipment)
    return replace(load, value=made)


def _reps(line: Line, ask: Ask) -> Outcome:
    return _each(line, lambda cell: engine.with_reps(cell.scheme, ask.reps[(cell.week - ask.first) % len(ask.reps)]))


def _start_load(cell: Cell, unit: str) -> int | None:
    """The load to begin with: as written, else as made for the client."""
    rule = engine.own_load(cell.scheme)
    if rule.kind == "fixed":
        return int(rule.value or 0) if rule.unit == unit else None
    return cell.made


def _exact(cell: Cell, load: int, reps: int, unit: str) -> engine.Scheme:
    rule = engine.RepRule("reps", reps, reps)
    return engine.with_fixed_load(engine.with_reps(cell.scheme, rule), load, unit)


def _double(line: Line, ask: Ask) -> Outcome:
    """Each week as if the one before had gone as planned: a rep more, or the next load and the range from below."""
    low, high = ask.goal
    words = f"All sets of {high}: next time the next load up and {low} reps."
    area = engine.body_area(line.exercise)
    found: Outcome = {}
    load: int | None = None
    aim, sets = low, 0
    for cell in line.cells:
        unit = getattr(cell.equipment, "unit", "")
        start = _start_load(cell, unit) if load is None else load
        if cell.equipment is None or not unit or start is None:
            why = "its load is not known: choose a client, or write one" if unit else "nothing here makes its load"
            found[cell.key] = Made(left=why)
            continue
        try:
            if load is not None:
                start, aim = engine.double_progression(
                    start, [aim] * sets, ask.goal, ask.level, area, cell.equipment
                )  # fmt: skip
            found[cell.key] = Made(_exact(cell, start, aim, unit), cue=words)
            load, sets = start, engine.set_count(cell.scheme)
        except engine.EngineError as wrong:
            found[cell.key] = Made(left=_why(wrong))
    return found


def _goal(line: Line, ask: Ask) -> Outcome:
    """The goal as reps and cue; the load one up where the last sessions beat it, as it was otherwise."""
    goal = ask.goal[0]
    over, sessions = int(value("goal_reps_over")), int(value("goal_sessions"))
    words = f"Last set at {goal + over} reps or more in {sessions} sessions running: next load up."
    beaten = engine.goal_met(goal, line.last_sets)

    def change(cell: Cell) -> engine.Scheme:
        unit = getattr(cell.equipment, "unit", "")
        load = _start_load(line.cells[0], unit) if unit and beaten else None
        if load is None or cell.equipment is None:
            return engine.with_reps(cell.scheme, engine.RepRule("reps", goal, goal))
        area = engine.body_area(line.exercise)
        return _exact(cell, engine.next_load(load, ask.level, area, cell.equipment), goal, unit)

    found = _each(line, change)
    return {key: replace(made, cue=words) if made.scheme else made for key, made in found.items()}


def _lighter(line: Line, ask: Ask) -> Outcome:
    light = replace(line, cells=tuple(c for c in line.cells if (c.week - ask.first + 1) % ask.every == 0))
    return _each(light, lambda cell: _sets(cell, engine.lighter_week(engine.set_count(cell.scheme), ask.rules)))


def _layoff(line: Line, ask: Ask) -> Outcome:
    cuts = return_cuts(ask.days_away, ask.rules)
    back = replace(line, cells=tuple(c for c in line.cells if c.week - ask.first < len(cuts)))

    def fewer(cell: Cell) -> engine.Scheme:
        sets = engine.set_count(cell.scheme)
        return _sets(cell, engine.return_sets(sets, ask.days_away, cell.week - ask.first + 1, ask.rules))

    return _each(back, fewer)


_FILLS: Mapping[str, Callable[[Line, Ask], Outcome]] = {
    "volume": _volume, "load": _load, "reps": _reps, "double": _double, "goal": _goal, "lighter": _lighter,
    "layoff": _layoff,
}  # fmt: skip
