"""New schemes from old ones: the changes that a progression over weeks and a swapped exercise ask for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from .errors import EngineError, instance, number, one_of
from .scheme import LoadRule, RepRule, Scheme, StepRule
from .scheme_edits import with_rir

_USUAL_RIR, _USUAL_DROP, _USUAL_RISE = 2.0, 20.0, 10.0
ChangeLoad = Callable[[LoadRule], LoadRule]


def with_reps(scheme: Scheme, reps: RepRule) -> Scheme:
    """The same sets with other reps (of the first bout, where a set has several). Rows of a ladder keep their own.

    EngineError for a scheme whose sets are not alike, or one that these reps do not fit.
    """
    instance("scheme", scheme, Scheme)
    instance("reps", reps, RepRule)
    step = scheme.step
    if step is None:
        raise EngineError("scheme", scheme.kind, "one whose sets are alike: its rows have reps of their own")
    if step.reps.counts_reps != reps.counts_reps or (not reps.counts_reps and step.reps.kind != reps.kind):
        unit = {"seconds": "seconds", "metres": "metres"}.get(step.reps.kind, "repetitions")
        raise EngineError("reps", reps.kind, f"counted in {unit} as before")
    rir = None if reps.kind == "failure" else step.rir
    return replace(scheme, step=replace(step, reps=reps, rir=rir))


def with_loads_of(scheme: Scheme, base: Scheme, change: ChangeLoad) -> Scheme:
    """`scheme` with the loads that `base` has in the same places, each put through `change`.

    Sets, reps, effort and rests stay those of `scheme`; loads taken from the step before stay as they are.
    EngineError when the two are not of the same shape.
    """
    instance("scheme", scheme, Scheme)
    instance("base", base, Scheme)
    if not callable(change):
        raise EngineError("change", change, "a function from one load rule to another")
    shape = (base.kind, len(base.drops), len(base.parts), len(base.ladder) if base.ladder else 0)
    if (scheme.kind, len(scheme.drops), len(scheme.parts), len(scheme.ladder)) != shape:
        raise EngineError("scheme", scheme.kind, f"of the same shape as the {base.kind} it follows")

    def moved(step: StepRule, seed: StepRule) -> StepRule:
        return step if seed.load.is_relative or step.load.is_relative else replace(step, load=change(seed.load))

    return replace(
        scheme,
        step=moved(scheme.step, base.step) if scheme.step and base.step else None,
        ladder=tuple(map(moved, scheme.ladder, base.ladder)),
        drops=tuple(map(moved, scheme.drops, base.drops)),
        parts=tuple(with_loads_of(a, b, change) for a, b in zip(scheme.parts, base.parts, strict=True)),
    )


def load_added(load: LoadRule, amount: float, kind: str, unit: str = "") -> LoadRule:
    """A load rule raised by `amount`: points of % of 1RM ('percent') or thousandths of `unit` ('fixed').

    EngineError for a rule of another kind or unit, and where the load would leave its range.
    """
    instance("load rule", load, LoadRule)
    one_of("kind of load", kind, ("percent", "fixed"))
    number("amount", amount, -10_000_000, 10_000_000)
    if load.kind != kind or (kind == "fixed" and load.unit != unit):
        right = "in % of 1RM" if kind == "percent" else f"a load in {unit}"
        raise EngineError("load", _words(load), right)
    made = (load.value or 0.0) + amount
    return LoadRule(kind, round(made) if kind == "fixed" else round(made, 3), load.unit)


def _words(load: LoadRule) -> str:
    return {"effort": "reps and RIR", "rep_max": "a rep maximum", "percent": "% of 1RM", "place": "a place",
            "fixed": f"a load in {load.unit}"}.get(load.kind, load.kind)  # fmt: skip


def own_load(scheme: Scheme) -> LoadRule:
    """The load rule of the first bout of the first set."""
    instance("scheme", scheme, Scheme)
    if scheme.parts:
        return own_load(scheme.parts[0])
    return scheme.step.load if scheme.step else scheme.ladder[0].load


def has_fixed_load(scheme: Scheme) -> bool:
    """Whether a bout has a load written in kg or lb, or as a place on a machine: those belong to one exercise."""
    instance("scheme", scheme, Scheme)
    steps = (*((scheme.step,) if scheme.step else ()), *scheme.ladder, *scheme.drops)
    return any(step.load.kind in ("fixed", "place") for step in steps) or any(map(has_fixed_load, scheme.parts))


def without_fixed_loads(scheme: Scheme, rir: float = _USUAL_RIR) -> Scheme:
    """The scheme for another exercise: fixed loads become reps with a reserve, the written one or `rir` (0-10).

    Percent and rep-maximum loads and effort rules stay; fixed loads of further bouts become drops or rises by the
    same share. A step to failure at a fixed load stops short, since reps and reserve must decide its load.
    """
    number("RIR", rir, 0, 10)
    if not has_fixed_load(scheme):
        return scheme
    drops, last = [], scheme.step.load if scheme.step else None
    for drop in scheme.drops:
        rule = _relative(drop.load, last, scheme.kind == "light_to_heavy") if _is_fixed(drop.load) else drop.load
        drops.append(replace(drop, load=rule))
        last = drop.load
    return replace(
        scheme,
        step=_by_effort(scheme.step, rir) if scheme.step else None,
        ladder=tuple(_by_effort(row, rir) for row in scheme.ladder),
        drops=tuple(drops),
        parts=tuple(without_fixed_loads(part, rir) for part in scheme.parts),
    )


def _is_fixed(load: LoadRule) -> bool:
    return load.kind in ("fixed", "place")


def _by_effort(step: StepRule, rir: float) -> StepRule:
    if not _is_fixed(step.load):
        return step
    if step.reps.kind == "failure":
        # Reps to failure say nothing of the load: the usual number of them with the reserve does.
        step = with_rir(Scheme("straight", 1, step), rir).step or step
    elif step.rir is None and step.reps.counts_reps:
        step = replace(step, rir=rir)
    return replace(step, load=LoadRule("effort"))


def _relative(load: LoadRule, before: LoadRule | None, rising: bool) -> LoadRule:
    """A further bout's fixed load as a share of the one before it; a usual share where that cannot be told."""
    by = _USUAL_RISE if rising else _USUAL_DROP
    if load.kind == "fixed" and before is not None and before.kind == "fixed" and (before.value or 0) > 0:
        change = 100 * ((load.value or 0) / (before.value or 1) - 1)
        if (change > 0) == rising:
            by = min(90.0, max(1.0, float(round(abs(change)))))
    return LoadRule("rise_percent" if rising else "drop_percent", by)
