"""Schemes in the trade's written notation."""

from __future__ import annotations

from .errors import instance, non_negative_float
from .loads import format_load
from .scheme import LoadRule, RepRule, Scheme, StepRule


def plain(number: float) -> str:
    """A number with at most three decimals and no trailing zeros."""
    return f"{number:.3f}".rstrip("0").rstrip(".")


def rest_words(seconds: float) -> str:
    """'2 min', '90 s', '2 min 30 s' for 0 to 100,000 seconds."""
    minutes, rest = divmod(round(non_negative_float("rest", seconds, 100_000), 3), 60)
    if minutes < 2 and rest:
        return f"{plain(seconds)} s"
    return f"{minutes:.0f} min" + (f" {plain(rest)} s" if rest else "") if minutes else f"{plain(seconds)} s"


def load_words(load: LoadRule) -> str:
    """'75 %', '12RM', '42.5 kg', '-20 %', '1 down'; empty when reps and RIR decide."""
    if load.value is None:
        return ""
    return {
        "percent": f"{plain(load.value)} %",
        "rep_max": f"{plain(load.value)}RM",
        "drop_percent": f"-{plain(load.value)} %",
        "drop_places": f"{plain(load.value)} down",
    }.get(load.kind) or f"{format_load(int(load.value))} {load.unit}"


def rep_words(reps: RepRule) -> str:
    """'8', '6-8', 'to failure', '30 s', '20 m'."""
    instance("rep rule", reps, RepRule)
    if reps.kind == "failure":
        return "to failure"
    unit = {"seconds": " s", "metres": " m"}.get(reps.kind, "")
    return (f"{reps.low}-{reps.high}" if reps.high != reps.low else str(reps.low)) + unit


def _step_words(step: StepRule) -> str:
    load, side = load_words(step.load), {"l": ", left", "r": ", right"}.get(step.side, "")
    return rep_words(step.reps) + (f" @ {load}" if load else "") + _rir_words(step) + side


def _rir_words(step: StepRule) -> str:
    return "" if step.rir is None or step.reps.kind == "failure" else f", RIR {plain(step.rir)}"


def _drop_words(scheme: Scheme) -> str:
    steps = (scheme.step, *scheme.drops) if scheme.step else scheme.drops
    alike = all((s.reps, s.rir) == (steps[0].reps, steps[0].rir) for s in steps)
    if alike and all(s.load.kind == "percent" for s in steps):
        return (
            "/".join(plain(s.load.value or 0) for s in steps) + f" % {rep_words(steps[0].reps)}" + _rir_words(steps[0])
        )
    if alike and len({d.load for d in scheme.drops}) == 1:
        drop = scheme.drops[0].load
        unit = "" if drop.is_drop else "to "
        return f"{_step_words(steps[0])}, then {unit}{load_words(drop)} x {len(scheme.drops)}"
    return " / ".join(_step_words(s) for s in steps)


def scheme_words(scheme: Scheme) -> str:
    """'4 x 6-8 @ 75 %, RIR 2, rest 2 min'; a drop set '1 x (80/65/50 % to failure)'."""
    instance("scheme", scheme, Scheme)
    if scheme.parts:
        return f"; then after {rest_words(scheme.rest_s)}: ".join(scheme_words(part) for part in scheme.parts)
    if scheme.ladder:
        rows = ", ".join(_step_words(row) for row in scheme.ladder)
        return f"{rows}; rest {rest_words(scheme.rest_s)}"
    rest = f", rest {rest_words(scheme.rest_s)}" if scheme.sets > 1 else ""
    if scheme.drops:
        return f"{scheme.sets} x ({_drop_words(scheme)}){rest}"
    assert scheme.step is not None
    return f"{scheme.sets} x {_step_words(scheme.step)}{rest}"
