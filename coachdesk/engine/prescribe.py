"""From a planned session to every step with its load, reps, rest and reasons."""

from __future__ import annotations

from functools import lru_cache

from .because import Because
from .choose_load import Choice, choose
from .constants import value
from .curves import curve_for
from .errors import instance
from .fatigue import _impulse
from .ledgers import Ledgers
from .plans import ClientTraits, ExercisePlan, SessionPlan
from .prescribed import PrescribedExercise, PrescribedSession, PrescribedStep
from .rules import DEFAULT, Rules
from .scheme import StepRule, expand
from .setting import Setting, scale_of, setting_of
from .strength_left import LIGHTEST_FAILURE, Model, model_for
from .timing import gap_seconds, lead_in_seconds, sets_seconds
from .volume import count_sets
from .warmup import warmup_steps

_UNKNOWN_RIR = 2.0
_HEAVY_WARMUP = value("warmup_deposit_above")


def prescribe_session(session: SessionPlan, client: ClientTraits, rules: Rules = DEFAULT) -> PrescribedSession:
    """Every step of a session with load, reps, rest and reasons. Cached: same values in, same object out.

    Loads are set fresh and stay (hold='load'): fatigue shows as a falling reserve. Rounding: nearest load
    that can be made, down for novices, older and cautioned clients; reps follow when it is > 2.5 % off.
    """
    instance("session", session, SessionPlan)
    instance("client", client, ClientTraits)
    return _prescribe(session, client, instance("rules", rules, Rules))


@lru_cache(maxsize=4096)
def _prescribe(session: SessionPlan, client: ClientTraits, rules: Rules) -> PrescribedSession:
    ledgers = Ledgers()
    patterns: set[str] = set()
    made = []
    for i, plan in enumerate(session.exercises):
        first = plan.exercise.pattern not in patterns if plan.exercise.pattern else i == 0
        patterns.add(plan.exercise.pattern)
        made.append(_exercise(plan, setting_of(plan, client, rules), ledgers, first))
    return PrescribedSession(session.key, session.day, session.name, tuple(made), sum(e.seconds for e in made))


def _exercise(plan: ExercisePlan, setting: Setting, ledgers: Ledgers, warm_up: bool) -> PrescribedExercise:
    traits, rules = plan.exercise, setting.rules
    sets = expand(plan.scheme)
    top = choose(setting, sets[0][0], None, 0, 1.0).load
    warmups = warmup_steps(setting, top) if warm_up else ()
    lead_in = lead_in_seconds(warmups, traits, rules)
    ledgers.rest(lead_in)
    runner = _Runner(plan, setting, ledgers)
    runner.book_warmups(warmups, top)
    done = tuple(runner.run_set(n, steps, n == len(sets)) for n, steps in enumerate(sets, 1))
    impulse = sum(step.impulse for steps in done for step in steps)
    seconds = lead_in + sets_seconds(done, traits, rules)
    notes = tuple(dict.fromkeys(runner.notes))
    return PrescribedExercise(plan.key, traits, warmups, done, notes, count_sets(done, rules), impulse, seconds)


class _Runner:
    """Runs the steps of one exercise on the session's clock."""

    def __init__(self, plan: ExercisePlan, setting: Setting, ledgers: Ledgers) -> None:
        self.traits, self.setting, self.ledgers = plan.exercise, setting, ledgers
        self.model: Model = model_for(setting.rules.curve, plan.exercise.endurance)
        self.change_s = setting.rules.change_over_s(plan.exercise.equipment_kind)
        self.name = str(plan.exercise.key)
        self.notes: list[Because] = []

    def book_warmups(self, warmups: tuple[PrescribedStep, ...], top: int | None) -> None:
        """Warm-ups cost nothing (maxima were measured after warming up) unless close to the working load."""
        scale = scale_of(self.setting)
        for step in warmups:
            fraction = scale.fraction(step.load) if step.load else None
            if fraction is None or not top or (step.load or 0) <= _HEAVY_WARMUP * top:
                continue
            left = self.model.reps_left(fraction, 1.0)
            fast, slow = self.model.cost(fraction, 1.0, min(left, float(step.reps_high)), left)
            self.ledgers.deposit(self.name, step.side, self.traits.muscles, fast, slow)
            self.ledgers.rest(step.rest_s)

    def run_set(self, set_no: int, steps: tuple[StepRule, ...], last_set: bool) -> tuple[PrescribedStep, ...]:
        """The steps of one set; drops that cannot be made are left out, and noted."""
        done: list[PrescribedStep] = []
        previous: int | None = None
        for position, step in enumerate(steps):
            strength = self.ledgers.strength(self.name, step.side, self.traits.muscles)
            choice = self._choose(step, previous, position, strength)
            self.notes += choice.notes
            if choice.removed:
                continue
            previous = choice.load
            if done:
                self.ledgers.rest(gap_seconds(done[-1], False, self.change_s))
                strength = self.ledgers.strength(self.name, step.side, self.traits.muscles)
            done.append(self._run_step(set_no, len(done) + 1, step, choice, strength))
        rest = steps[-1].rest_s
        if done[-1].rest_s != rest:
            done[-1] = _with_rest(done[-1], rest)
        if not last_set:
            self.ledgers.rest(rest)
        return tuple(done)

    def _choose(self, step: StepRule, previous: int | None, position: int, strength: float) -> Choice:
        if step.hold == "rir":
            return choose(self.setting, step, previous, position, round(strength, 3))
        choice = choose(self.setting, step, previous, position, 1.0)
        if step.hold == "range" and choice.fraction and step.reps.counts_reps:
            fits = self.model.reps_left(choice.fraction, strength) - (choice.rir or 0)
            if fits < step.reps.low:
                return choose(self.setting, step, previous, position, round(strength, 3))
        return choice

    def _run_step(self, set_no: int, step_no: int, rule: StepRule, choice: Choice, before: float) -> PrescribedStep:
        failure = rule.reps.kind == "failure"
        reps, rir, cost, more = self._predict(rule, choice, before, failure)
        self.notes += [because for because in more if because.kind == "not_predicted"]
        after = self.ledgers.strength(self.name, rule.side, self.traits.muscles) if cost else before
        nearness = rir if rir is not None else choice.rir if choice.rir is not None else _UNKNOWN_RIR
        return PrescribedStep(
            set_no,
            step_no,
            rule.side,
            choice.load,
            choice.unit,
            choice.setup,
            choice.plates,
            choice.place,
            choice.fraction,
            choice.reps_low,
            choice.reps_high,
            failure,
            rule.reps.kind,
            reps if choice.fraction is not None else None,
            choice.rir,
            rir if choice.fraction is not None else None,
            rule.rest_s,
            before,
            after,
            _impulse(cost, nearness),
            choice.because + more,
        )

    def _predict(
        self, rule: StepRule, choice: Choice, before: float, failure: bool
    ) -> tuple[float | None, float | None, float, tuple[Because, ...]]:
        """(expected reps, expected reserve, cost, reasons); books the cost in the ledger."""
        fraction = self._model_fraction(rule, choice)
        if fraction is None or not rule.reps.counts_reps:
            return (None, None, 0.0, ())
        left = self.model.reps_left(fraction, before)
        if failure:
            reps = left
        else:
            wanted = left - (choice.rir or 0.0)
            reps = min(left, max(float(choice.reps_low), min(float(choice.reps_high), wanted)))
        fast, slow = self.model.cost(fraction, before, reps, left)
        if fast or slow:
            self.ledgers.deposit(self.name, rule.side, self.traits.muscles, fast, slow)
        if failure and fraction < LIGHTEST_FAILURE - 1e-9:
            return (None, 0.0, fast + slow, (Because("not_predicted", (("percent", 100 * fraction),)),))
        why: tuple[Because, ...] = ()
        if choice.fraction is not None and before < 0.995:
            why = (Because("strength_left", (("strength", 100 * before), ("left", left))),)
        return (reps, max(0.0, left - reps), fast + slow, why)

    def _model_fraction(self, rule: StepRule, choice: Choice) -> float | None:
        """Load as a fraction of 1RM; with an unknown maximum, what reps and reserve imply."""
        if choice.fraction is not None:
            return max(choice.fraction, 1e-6)
        if rule.load.kind == "effort" and rule.reps.counts_reps:
            curve = curve_for(self.setting.rules.curve, self.traits.endurance)
            return min(1.0, curve.phi(choice.reps_high + (choice.rir or 0.0)))
        return None


def _with_rest(step: PrescribedStep, rest_s: float) -> PrescribedStep:
    values = {**step.__dict__, "rest_s": rest_s}
    return PrescribedStep(**values)
