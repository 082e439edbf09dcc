"""What to expect of one step: reps and reserve from strength left, or seconds and metres from a known best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .because import Because, reason
from .choose_load import Choice
from .curves import curve_for
from .fatigue import _impulse
from .fit_reps import MOST_RESERVE
from .loads import convert
from .plans import BestTime, ExerciseTraits
from .prescribed import PrescribedStep
from .rules import Rules
from .scheme_rules import StepRule
from .setting import Setting
from .strength_left import LIGHTEST_FAILURE, Model

_UNKNOWN_RIR = 2.0
_LEAST_FRACTION = 1e-3


@dataclass(frozen=True)
class Prediction:
    """Reps (None: not predictable) and reserve to expect, fast and slow losses, reasons; amount of timed steps."""

    reps: float | None = None
    rir: float | None = None
    fast: float = 0.0
    slow: float = 0.0
    because: tuple[Because, ...] = ()
    amount: float | None = None


_NOTHING = Prediction()


def goes_to_failure(rule: StepRule) -> bool:
    """Whether the step is to failure whatever the number: written so, or on and on without a reserve."""
    return rule.reps.kind == "failure" or (rule.reps.kind == "at_least" and rule.reps.low == 1 and not rule.rir)


def predict(
    setting: Setting, model: Model, rule: StepRule, choice: Choice, before: float, most: float | None = None
) -> Prediction:
    """Reps and reserve with `before` of strength left; at most `most` reps."""
    fraction = _model_fraction(setting, rule, choice)
    if fraction is None:
        return _NOTHING
    left, failure = model.reps_left(fraction, before), goes_to_failure(rule)
    if failure:
        reps = left
    else:
        wanted = left - (choice.rir or 0.0)
        top = left if rule.reps.kind == "at_least" else float(choice.reps_high)
        reps = min(left, max(float(choice.reps_low), min(top, wanted)))
    if most is not None:
        reps = min(reps, most)
    fast, slow = model.cost(fraction, before, reps, left)
    if choice.fraction is None:
        return Prediction(None, None, fast, slow)
    if failure and fraction < LIGHTEST_FAILURE - 1e-9:
        return Prediction(None, 0.0, fast, slow, (Because("not_predicted", (("percent", 100 * fraction),)),))
    why: tuple[Because, ...] = ()
    if before < 0.995:
        why = (Because("strength_left", (("strength", 100 * before), ("left", left))),)
    return Prediction(reps, min(MOST_RESERVE, max(0.0, left - reps)), fast, slow, why)


def _model_fraction(setting: Setting, rule: StepRule, choice: Choice) -> float | None:
    """Load as a fraction of 1RM; with an unknown maximum, what reps and reserve imply."""
    if choice.fraction is not None:
        return max(choice.fraction, _LEAST_FRACTION)
    if rule.load.kind == "effort":
        curve = curve_for(setting.rules.curve, setting.exercise.endurance)
        return min(1.0, curve.phi(choice.reps_high + (choice.rir or 0.0)))
    return None


def predict_timed(
    traits: ExerciseTraits,
    model: Model,
    bests: Sequence[BestTime],
    rule: StepRule,
    choice: Choice,
    before: float,
    rules: Rules,
) -> Prediction:
    """Seconds or metres when a best at that load is known; time then counts like reps, a modelling choice."""
    bare = traits.equipment_kind == "bodyweight" and rule.load.kind == "effort"
    best = next((one for one in bests if one.kind == rule.reps.kind and _at(one, choice, bare)), None)
    if best is None:
        return Prediction(because=(reason("no_best", what="time" if rule.reps.kind == "seconds" else "distance"),))
    a_rep = traits.seconds_per_rep / (1.0 if best.kind == "seconds" else max(rules.seconds_per_metre, 1e-3))
    fraction = model.curve.phi(best.amount / a_rep)
    left = model.reps_left(fraction, before)
    amount = min(float(rule.reps.high), left * a_rep)
    fast, slow = model.cost(fraction, before, amount / a_rep, left)
    unit = "s" if best.kind == "seconds" else "m"
    why = reason("timed", best=best.amount, unit=unit, left=left * a_rep, strength=100 * before)
    return Prediction(None, None, fast, slow, (why,), amount)


def _at(best: BestTime, choice: Choice, bare: bool) -> bool:
    """Whether the best was at this load; `bare`: on the body with nothing written beside it, so at the body alone."""
    if choice.load is None and bare:
        return best.load == 0
    if choice.load is None or choice.unit not in ("kg", "lb"):
        return False
    if best.load <= 0 or choice.load <= 0:
        return best.load == choice.load and (best.load == 0 or best.unit == choice.unit)
    return abs(float(convert(best.load, best.unit, choice.unit)) - choice.load) < 1


def prescribed_step(
    kind: str,
    set_no: int,
    step_no: int,
    rule: StepRule,
    choice: Choice,
    made: Prediction,
    before: float,
    after: float,
) -> PrescribedStep:
    """The step as it goes on the sheet."""
    nearness = made.rir if made.rir is not None else choice.rir if choice.rir is not None else _UNKNOWN_RIR
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
        goes_to_failure(rule),
        rule.reps.kind,
        made.reps,
        choice.rir,
        made.rir,
        rule.rest_s,
        before,
        after,
        _impulse(made.fast + made.slow, nearness),
        choice.because + made.because,
        kind,
        choice.system,
        made.amount,
    )
