"""One planned session as rows of plain values, in the order of the columns."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from .choose_load import _planned_fraction
from .columns_plan import EFFORT, FIXED, HOLD_LOAD, HOLD_RANGE, HOLD_RIR, OWN, PLACES, SAME, SHARE
from .curves import curve_for
from .equipment import Ordinal
from .errors import EngineError
from .flag_limits import _AT_LIMIT
from .loads import _KG, convert
from .plans import ClientTraits, ExercisePlan, ExerciseTraits, SessionPlan
from .predict_step import goes_to_failure
from .prescribe import rotations
from .rules import Rules
from .scheme import expand_sets
from .scheme_kinds import Expanded
from .scheme_rules import StepRule
from .setting import Scale, Setting, scale_of, setting_of
from .summary import _written_rir
from .timing import change_within

Row = tuple[Any, ...]
Load = tuple[int, float, float, float, int]
_NAN, _INF = float("nan"), float("inf")
_HOLDS = {"load": HOLD_LOAD, "rir": HOLD_RIR, "range": HOLD_RANGE}
_SIDES = {"b": 0, "l": 1, "r": 2}
NO_ROW: Row = (-1, 0, _NAN, _NAN, 0.0, False, False)
NO_LEDGER: Row = (-1, 0)
NO_STEP: Row = (
    False, 0, 0, False, False, -1, OWN, _NAN, _NAN, _NAN, 0, False,
    1.0, 1.0, False, False, False, _NAN, 0.0, 0.0, 0.0, 0.0, HOLD_LOAD, -1, 1.0, 0.0,
)  # fmt: skip


def session_steps(
    session: SessionPlan,
    client: ClientTraits,
    rules: Rules,
    movement: Callable[[ExerciseTraits], int],
    rack: Callable[[tuple[int, ...]], int],
) -> tuple[list[Row], list[Row], list[Row]]:
    """(planned exercises, ledgers, steps) of a session; `movement` and `rack` give the numbers of those."""
    made = _Session()
    exercises: dict[int, _Exercise] = {}
    patterns: set[str] = set()
    for members in rotations(session.exercises):
        for i in members:
            plan = session.exercises[i]
            first = plan.exercise.pattern not in patterns if plan.exercise.pattern else i == 0
            patterns.add(plan.exercise.pattern)
            exercises[i] = _Exercise(made, i, plan, setting_of(plan, client, rules), movement(plan.exercise), first)
            if len(members) > 1:
                exercises[i].lead_in()
        _rotate([exercises[i] for i in members], len(members) == 1)
    rows = [exercises[i].row(rack) for i in range(len(session.exercises))]
    return rows, list(made.ledgers), made.steps


def _rotate(exercises: list[_Exercise], starts: bool) -> None:
    """A set of each in turn; no rest after the very last."""
    while any(one.waiting for one in exercises):
        for one in exercises:
            if one.waiting:
                one.add_set(one.waiting.pop(0), starts)
                starts = False
                if any(other.waiting for other in exercises):
                    one.rest_after()


class _Session:
    """Steps of a session so far, and its ledgers: a movement and a side."""

    def __init__(self) -> None:
        self.steps: list[Row] = []
        self.ledgers: dict[tuple[int, int], int] = {}


class _Exercise:
    """Writes the steps of one planned exercise into its session."""

    def __init__(
        self, session: _Session, slot: int, plan: ExercisePlan, setting: Setting, movement: int, first: bool
    ) -> None:
        self.session, self.slot, self.plan, self.setting = session, slot, plan, setting
        self.movement, self.first, self.scale = movement, first, scale_of(setting)
        self.waiting = list(expand_sets(plan.scheme))
        self.own: dict[str, int] = {}
        self.last: dict[str, int] = {}
        self.held: dict[tuple[str, int], int] = {}
        self.rest_s = 0.0
        _refuse(plan, self.waiting)

    def row(self, rack: Callable[[tuple[int, ...]], int]) -> Row:
        """Its values in Rows."""
        scale, eq = self.scale, self.setting.equipment
        warm_up = self.first and eq is not None and not isinstance(eq, Ordinal) and eq.kind != "bodyweight"
        written = [_written_rir(rule) for one in expand_sets(self.plan.scheme) for rule in one.steps]
        maxima = (scale.mean or _NAN, scale.low or _NAN)
        at_limit = min(written) <= _AT_LIMIT
        return (self.movement, rack(scale.loads), *maxima, scale.offset, warm_up, at_limit)

    def lead_in(self) -> None:
        """Only set-up and warm-ups, for an exercise of a rotation."""
        first = self.waiting[0]
        self._add(first.steps[0], first, 0, True, False)

    def add_set(self, one: Expanded, starts: bool) -> None:
        """The steps of one set."""
        for position, rule in enumerate(one.steps):
            self._add(rule, one, position, starts and position == 0, True)
        self.rest_s = one.steps[-1].rest_s

    def rest_after(self) -> None:
        """The rest after the set that was added last."""
        steps = self.session.steps
        steps[-1] = (*steps[-1][:-5], self.rest_s, *steps[-1][-4:])

    def _add(self, rule: StepRule, one: Expanded, position: int, starts: bool, there: bool) -> None:
        session, setting = self.session, self.setting
        ledger = session.ledgers.setdefault((self.movement, _SIDES[rule.side]), len(session.ledgers))
        n, relative, later = len(session.steps), rule.load.is_relative, position > 0
        anchor = self.last if rule.load.kind == "same" else self.own
        source = anchor.get(rule.side, -1) if relative and not later else -1
        held = self.held.get((rule.side, position), -1) if rule.hold == "range" and not relative else -1
        up = one.kind == "light_to_heavy" if later else not rule.load.is_drop
        both = 2 if self.plan.exercise.limbs == "one" and rule.side == "b" else 1
        change = change_within(one.kind, setting.rules.change_over_s(self.plan.exercise.equipment_kind))
        session.steps.append((
            there, self.slot, ledger, starts, later, source, *_load(rule, setting, self.scale), up, *_reps(rule),
            both * _rep_seconds(rule, setting), rule.rest_s, change, 0.0, _HOLDS[rule.hold], held,
            1.0 if rule.side == "b" else 0.5, both * self.plan.exercise.implements * _KG[self.scale.unit],
        ))  # fmt: skip
        if there and not later:
            self.last[rule.side] = n
            if not relative:
                self.own[rule.side] = n
        if there and rule.hold == "range":
            self.held[rule.side, position] = n


def _refuse(plan: ExercisePlan, sets: list[Expanded]) -> None:
    """EngineError for what ends or loads a set in a way that the columns do not know."""
    right = "left to the objects: not done by column"
    if any(one.quota or one.until_reps for one in sets):
        raise EngineError("target of a scheme", plan.scheme.target, right)
    if plan.by_side:
        raise EngineError("maxima of each side", plan.exercise.name, right)
    rules = [rule for one in sets for rule in one.steps]
    if plan.bests and not all(rule.reps.counts_reps for rule in rules):
        raise EngineError("best times of a timed exercise", plan.exercise.name, right)
    ordinal = isinstance(plan.equipment, Ordinal) or (not plan.equipment and plan.exercise.equipment_kind == "band")
    if ordinal and any(rule.load.kind in ("drop_places", "rise_places") for rule in rules):
        raise EngineError("places on equipment without units", plan.exercise.name, right)


def _load(rule: StepRule, setting: Setting, scale: Scale) -> Load:
    """(kind, share of the maximum, fixed load, share kept, places up) of a step; NaN: not to be worked out."""
    load, by = rule.load, rule.load.value or 0
    unknown = isinstance(setting.equipment, Ordinal)
    if load.kind == "fixed":
        fixed = float(convert(abs(int(by)), load.unit, scale.unit)) * (-1 if by < 0 else 1)
        return (FIXED, 0.0, _NAN if unknown else fixed, _NAN, 0)
    if load.kind == "place":
        known = scale.loads and not unknown
        return (FIXED, 0.0, float(scale.loads[min(int(by or 1), len(scale.loads)) - 1]) if known else _NAN, _NAN, 0)
    if load.kind == "same":
        return (SAME, 0.0, _NAN, 1.0, 0)
    if load.kind in ("drop_places", "rise_places"):
        return (PLACES, 0.0, _NAN, 1.0, int(by) if load.kind == "rise_places" else -int(by))
    if load.is_relative:
        share = 1 - by / 100 if load.is_drop else 1 + by / 100
        return (SHARE, 0.0, _NAN, _NAN if unknown or scale.no_mass else share, 0)
    kind = EFFORT if load.kind == "effort" else OWN
    if unknown or scale.no_mass or (kind == EFFORT and not rule.reps.counts_reps):
        return (kind, _NAN, _NAN, _NAN, 0)
    curve = curve_for(setting.rules.curve, setting.exercise.endurance)
    return (kind, _planned_fraction(curve, rule), _NAN, _NAN, 0)


def _reps(rule: StepRule) -> Row:
    """(low, high, is a range, to failure, counted in repetitions, reserve)."""
    reps, failure = rule.reps, goes_to_failure(rule)
    rir = _NAN if rule.rir is None else float(rule.rir)
    if reps.kind in ("failure", "at_least"):
        return (float(reps.low), _INF, False, failure, True, float(rule.rir or 0.0))
    return (float(reps.low), float(reps.high), reps.kind == "range", failure, reps.counts_reps, rir)


def _rep_seconds(rule: StepRule, setting: Setting) -> float:
    if rule.reps.counts_reps:
        return setting.exercise.seconds_per_rep
    return 1.0 if rule.reps.kind == "seconds" else setting.rules.seconds_per_metre
