"""The sets of one exercise run through on the session's clock: which bouts, at which load, with what rest."""

from __future__ import annotations

from dataclasses import replace

from .because import Because, reason
from .choose_load import Choice, choose
from .constants import value
from .equipment import Ordinal
from .ledgers import Ledgers
from .loads import KG_PER_LB
from .plans import ClientTraits, ExercisePlan
from .predict_step import Prediction, predict, predict_timed, prescribed_step
from .prescribed import PrescribedExercise, PrescribedStep
from .rules import Rules
from .scheme import MOST_STEPS, expand_sets
from .scheme_kinds import Expanded
from .scheme_rules import LoadRule, StepRule
from .setting import Setting, scale_of, setting_of
from .strength_left import Model, model_for
from .timing import _step_seconds, change_within, gap_seconds, lead_in_seconds
from .volume import count_sets
from .warmup import warmup_steps

_HEAVY_WARMUP = value("warmup_deposit_above")
_KG = {"kg": 1.0, "lb": float(KG_PER_LB)}
_SLACK = 1e-6


class Runner:
    """Runs the sets of one exercise one by one; `seconds` of the clock so far."""

    def __init__(self, plan: ExercisePlan, client: ClientTraits, rules: Rules, ledgers: Ledgers) -> None:
        self.plan, self.traits, self.rules, self.ledgers = plan, plan.exercise, rules, ledgers
        self.sides = ("l", "r") if plan.by_side else ("b",)
        self.settings: dict[str, Setting] = {side: setting_of(plan, client, rules, side) for side in self.sides}
        self.model: Model = model_for(rules.curve, plan.exercise.endurance)
        self.change_s = rules.change_over_s(plan.exercise.equipment_kind)
        self.name = str(plan.exercise.key)
        self.waiting = list(reversed(expand_sets(plan.scheme)))
        self.done: list[tuple[PrescribedStep, ...]] = []
        self.notes: list[Because] = []
        self.warmups: tuple[PrescribedStep, ...] = ()
        self.seconds = 0.0
        self.anchors: dict[str, tuple[int | None, int | None]] = {}
        self.held: dict[tuple[str, int], int] = {}
        self.lifted: float | None = 0.0

    @property
    def has_more(self) -> bool:
        """Whether a set is left to do."""
        return bool(self.waiting)

    def lead_in(self, warm_up: bool) -> None:
        """Set-up and warm-ups. They cost nothing (maxima were measured warm) unless close to the working load."""
        side = self.sides[0]
        setting, first = self.settings[side], self.waiting[-1].steps[0]
        tops = [choose(self.settings[one], first, None, 0, 1.0).load for one in self.sides]
        top = None if None in tops else min(load for load in tops if load is not None)
        self.warmups = warmup_steps(setting, top) if warm_up else ()
        self.seconds = lead_in_seconds(self.warmups, self.traits, self.rules)
        self.ledgers.rest(self.seconds)
        scale = scale_of(setting)
        for step in self.warmups:
            fraction = scale.fraction(step.load) if step.load else None
            if fraction is None or not top or (step.load or 0) <= _HEAVY_WARMUP * top:
                continue
            left = self.model.reps_left(fraction, 1.0)
            fast, slow = self.model.cost(fraction, 1.0, min(left, float(step.reps_high)), left)
            self.ledgers.deposit(self.name, step.side, self.traits.muscles, fast, slow)
            self.ledgers.rest(step.rest_s)

    def run_next(self) -> float:
        """Do the next set; the rest in s that is written after it."""
        one = self.waiting.pop()
        made: list[PrescribedStep] = []
        by_side = self.plan.by_side and all(step.side == "b" for step in one.steps)
        for side in ("l", "r") if by_side else (one.steps[0].side,):
            if made:  # over to the other side
                self._pass(gap_seconds(made[-1], False, change_within(one.kind, self.change_s)))
            made += self._bouts(one, side, by_side and side == "l")
        self.done.append(tuple(made))
        if one.quota:
            self._count_quota(one, made)
        return one.steps[-1].rest_s

    def _pass(self, seconds: float) -> None:
        self.ledgers.rest(seconds)
        self.seconds += seconds

    def _bouts(self, one: Expanded, side: str, other_side_follows: bool) -> list[PrescribedStep]:
        """The bouts of one set on one side; drops that cannot be made are left out, and noted."""
        done: list[PrescribedStep] = []
        before: int | None = None
        reps: float | None = 0.0
        change, last_rest = change_within(one.kind, self.change_s), one.steps[-1].rest_s
        for position, written in enumerate(self._rules(one)):
            if position >= len(one.steps) and (reps is None or reps >= one.until_reps - _SLACK):
                break
            rule = written if written.side == side else replace(written, side=side)
            choice = self._choose(rule, one.kind, before, position)
            self.notes += choice.notes
            if choice.removed:
                continue
            before = self._counted(choice)
            if done:
                self._pass(gap_seconds(done[-1], False, change))
            most = None if not one.until_reps or reps is None else max(0.0, one.until_reps - reps)
            done.append(self._run(one.kind, len(self.done) + 1, len(done) + 1, rule, choice, most))
            expected = done[-1].expected_reps
            reps = None if reps is None or expected is None else reps + expected
        rest = 0.0 if other_side_follows else last_rest
        if done[-1].rest_s != rest:
            done[-1] = replace(done[-1], rest_s=rest)
        return done

    def _rules(self, one: Expanded) -> tuple[StepRule, ...]:
        """The bouts as written; with total reps to reach, the last one as often as a set may hold."""
        if not one.until_reps:
            return one.steps
        paused = replace(one.steps[-1], rest_s=one.steps[0].rest_s)
        return one.steps[:-1] + (paused,) * (MOST_STEPS - len(one.steps) + 1)

    def _counted(self, choice: Choice) -> int | None:
        """What later loads are taken from: a load, on equipment without units a place."""
        ordinal = isinstance(self.settings[self.sides[0]].equipment, Ordinal)
        return choice.place if ordinal else choice.load

    def _setting(self, side: str) -> Setting:
        return self.settings.get(side) or self.settings[self.sides[0]]

    def _choose(self, rule: StepRule, kind: str, before: int | None, position: int) -> Choice:
        """The load: drops from the bout before; rows of a ladder from the last row with a load of its own."""
        if position:
            return self._held(rule, position, before, "up" if kind == "light_to_heavy" else "down")
        own, last = self.anchors.get(rule.side, (None, None))
        choice = self._held(rule, 0, last if rule.load.kind == "same" else own, "down")
        counted = self._counted(choice)
        self.anchors[rule.side] = (own if rule.load.is_relative else counted, counted)
        return choice

    def _held(self, rule: StepRule, position: int, before: int | None, way: str) -> Choice:
        setting = self._setting(rule.side)
        if rule.hold == "load":
            return choose(setting, rule, before, position, 1.0, way)
        strength = self.ledgers.strength(self.name, rule.side, self.traits.muscles)
        if rule.hold == "rir":
            return choose(setting, rule, before, position, round(strength, 3), way)
        key, counts = (rule.side, position), rule.reps.counts_reps
        held = self.held.get(key) if not rule.load.is_relative else None
        choice = choose(setting, rule, before, position, 1.0, way)
        if held is not None and choice.load is not None and held < choice.load:
            kept = replace(rule, load=LoadRule("fixed", held, choice.unit))
            why = (reason("held_load", made=scale_of(setting).told(held), unit=choice.unit),)
            choice = replace(choose(setting, kept, before, position, 1.0, way), because=why, notes=())
        if choice.fraction and counts and not choice.removed:
            fits = self.model.reps_left(choice.fraction, strength) - (choice.rir or 0)
            if fits < rule.reps.low:
                lower = choose(setting, rule, before, position, round(strength, 3), way)
                choice = lower if lower.load is None or lower.load <= (choice.load or 0) else choice
        if choice.load is not None:
            self.held[key] = choice.load
        return choice

    def _run(
        self, kind: str, set_no: int, step_no: int, rule: StepRule, choice: Choice, most: float | None
    ) -> PrescribedStep:
        before = self.ledgers.strength(self.name, rule.side, self.traits.muscles)
        if rule.reps.counts_reps:
            made = predict(self._setting(rule.side), self.model, rule, choice, before, most)
        else:
            made = predict_timed(self.traits, self.model, self.plan.bests, rule, choice, before, self.rules)
        self.notes += [because for because in made.because if because.kind == "not_predicted"]
        after = self._book(rule, made, before)
        step = prescribed_step(kind, set_no, step_no, rule, choice, made, before, after)
        seconds = _step_seconds(step, self.traits, self.rules)
        self.seconds += seconds
        self.ledgers.work(self.name, rule.side, self.traits.muscles, seconds)
        if self.traits.limbs == "one" and rule.side == "b":
            self.ledgers.rest_one(self.name, rule.side, seconds / 2)
        return step

    def _book(self, rule: StepRule, made: Prediction, before: float) -> float:
        if not (made.fast or made.slow):
            return before
        self.ledgers.deposit(self.name, rule.side, self.traits.muscles, made.fast, made.slow)
        return self.ledgers.strength(self.name, rule.side, self.traits.muscles)

    def _count_quota(self, one: Expanded, made: list[PrescribedStep]) -> None:
        """Add the set's volume load to the quota; leave out the sets after it is reached."""
        if one.starts:
            self.lifted = 0.0
        for step in made:
            if step.system_load is None or step.expected_reps is None or self.lifted is None:
                self.lifted = None
                break
            both = 2 if self.traits.limbs == "one" and step.side == "b" else 1
            kg = step.system_load / 1000 * _KG[step.unit] * self.traits.implements * both
            self.lifted += kg / _KG[one.quota_unit] * step.expected_reps
        ends = not self.waiting or self.waiting[-1].starts
        if self.lifted is None:
            self.notes += [reason("quota_unknown")] if ends else []
            return
        numbers: dict[str, float | str] = {"target": one.quota, "unit": one.quota_unit, "made": self.lifted}
        if self.lifted >= one.quota - _SLACK:
            while self.waiting and not self.waiting[-1].starts:
                self.waiting.pop()
            self.notes.append(reason("quota", sets=len(self.done), **numbers))
        elif ends:
            self.notes.append(reason("quota_short", sets=len(self.done), **numbers))

    def finish(self) -> PrescribedExercise:
        """The exercise as prescribed; a side's step costs the body half of what both sides cost."""
        done = tuple(self.done)
        impulse = sum(step.impulse * (1.0 if step.side == "b" else 0.5) for steps in done for step in steps)
        notes = tuple(dict.fromkeys(self.notes))
        hard = count_sets(done, self.rules)
        return PrescribedExercise(self.plan.key, self.traits, self.warmups, done, notes, hard, impulse, self.seconds)
