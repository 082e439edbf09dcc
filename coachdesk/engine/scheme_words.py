"""Schemes in the trade's written notation."""

from __future__ import annotations

from collections.abc import Callable

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
    """'75 %', '12RM', '42.5 kg', 'place 3', '-20 %', '1 down', 'same load'; empty when reps and RIR decide."""
    if load.value is None:
        return "same load" if load.kind == "same" else ""
    return {
        "percent": f"{plain(load.value)} %",
        "rep_max": f"{plain(load.value)}RM",
        "drop_percent": f"-{plain(load.value)} %",
        "drop_places": f"{plain(load.value)} down",
        "rise_percent": f"+{plain(load.value)} %",
        "rise_places": f"{plain(load.value)} up",
        "place": f"place {plain(load.value)}",
    }.get(load.kind) or f"{format_load(int(load.value))} {load.unit}"


def rep_words(reps: RepRule) -> str:
    """'8', '6-8', 'at least 5', 'to failure', '30 s', '20 m'."""
    instance("rep rule", reps, RepRule)
    if reps.kind == "failure":
        return "to failure"
    if reps.kind == "at_least":
        return f"at least {reps.low}"
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
        unit = "" if drop.is_relative else "to "
        return f"{_step_words(steps[0])}, then {unit}{load_words(drop)} x {len(scheme.drops)}"
    return " / ".join(_step_words(s) for s in steps)


def scheme_words(scheme: Scheme) -> str:
    """'4 x 6-8 @ 75 %, RIR 2, rest 2 min'; a drop set '1 x (80/65/50 % to failure)'."""
    instance("scheme", scheme, Scheme)
    if scheme.parts:
        return f"; then after {rest_words(scheme.rest_s)}: ".join(scheme_words(part) for part in scheme.parts)
    rest = f", rest {rest_words(scheme.rest_s)}" if scheme.sets > 1 else ""
    own = _OWN_WORDS.get(scheme.kind)
    if own:
        return own(scheme, rest)
    if scheme.ladder:
        rows = ", ".join(_step_words(row) for row in scheme.ladder)
        return f"{rows}; rest {rest_words(scheme.rest_s)}"
    if scheme.drops:
        return f"{scheme.sets} x ({_drop_words(scheme)}){rest}"
    assert scheme.step is not None
    return f"{scheme.sets} x {_step_words(scheme.step)}{rest}"


def _rest_pause_words(scheme: Scheme, rest: str) -> str:
    assert scheme.step is not None
    pause, first = rest_words(scheme.step.rest_s), _step_words(scheme.step)
    if scheme.target:
        return f"{scheme.sets} x ({first}, then on to {scheme.target} reps with pauses of {pause}){rest}"
    bouts = [rep_words(bout.reps) for bout in scheme.drops]
    alike = len(set(bouts)) == 1
    open_bout = scheme.drops[0].reps.kind in ("failure", "at_least") and alike
    told = f"{len(bouts)} more" + ("" if open_bout else f" of {bouts[0]}") if alike else " + ".join(bouts)
    return f"{scheme.sets} x ({first}, then {told} after {pause} each){rest}"


def _cluster_words(scheme: Scheme, rest: str) -> str:
    assert scheme.step is not None
    bouts = [scheme.step, *scheme.drops]
    parts, load = "+".join(rep_words(bout.reps) for bout in bouts), load_words(scheme.step.load)
    total = sum(bout.reps.high for bout in bouts)
    at = (f" @ {load}" if load else "") + _rir_words(scheme.step)
    return f"{scheme.sets} x {total} ({parts}) {rest_words(scheme.step.rest_s)}{at}{rest}"


def wave_rows(rows: tuple[StepRule, ...]) -> tuple[tuple[StepRule, ...], ...]:
    """The rows by waves: a new one starts where the reps go up again."""
    made: list[list[StepRule]] = []
    for i, row in enumerate(rows):
        if not i or row.reps.high > rows[i - 1].reps.high:
            made.append([])
        made[-1].append(row)
    return tuple(tuple(wave) for wave in made)


def _wave_words(scheme: Scheme, rest: str) -> str:
    waves = (", ".join(_step_words(row) for row in wave) for wave in wave_rows(scheme.ladder))
    return " / ".join(waves) + f"; rest {rest_words(scheme.rest_s)}"


def merged_rows(rows: tuple[StepRule, ...]) -> list[tuple[int, StepRule]]:
    """(how many, row) with rows that only repeat the one before counted to it."""
    made: list[tuple[int, StepRule]] = []
    for row in rows:
        if made and row.load.kind == "same" and _but_load(row, made[-1][1]):
            made[-1] = (made[-1][0] + 1, made[-1][1])
        else:
            made.append((1, row))
    return made


def _but_load(one: StepRule, other: StepRule) -> bool:
    return (one.reps, one.rir, one.side, one.hold) == (other.reps, other.rir, other.side, other.hold)


def _back_off_words(scheme: Scheme, rest: str) -> str:
    runs = [f"{n} x {_step_words(row)}" for n, row in merged_rows(scheme.ladder)]
    return ", then ".join(runs) + f"; rest {rest_words(scheme.rest_s)}"


def _open_last_words(scheme: Scheme, rest: str) -> str:
    assert scheme.step is not None
    stop = f"stop at RIR {plain(scheme.step.rir)}" if scheme.step.rir else "to failure"
    usual = _step_words(scheme.step)
    return f"{scheme.sets} x {usual}, the last at least {scheme.step.reps.low}, {stop}{rest}"


def _quota_words(scheme: Scheme, rest: str) -> str:
    assert scheme.step is not None
    target = f"{scheme.target} {scheme.target_unit} x reps"
    return f"sets of {_step_words(scheme.step)} until {target}, at most {scheme.sets}{rest}"


_OWN_WORDS: dict[str, Callable[[Scheme, str], str]] = {
    "rest_pause": _rest_pause_words,
    "cluster": _cluster_words,
    "wave": _wave_words,
    "top_back_off": _back_off_words,
    "open_last": _open_last_words,
    "quota": _quota_words,
}
