"""Warm-up sets before the first exercise of each movement pattern."""

from __future__ import annotations

from functools import lru_cache

from .because import reason
from .equipment import Barbell, Equipment, Ordinal, _makeable, _setup_text, plates_per_side, rounded
from .prescribed import PrescribedStep
from .setting import Setting, in_units


@lru_cache(maxsize=8192)
def warmup_steps(setting: Setting, working_load: int | None) -> tuple[PrescribedStep, ...]:
    """Steps at the house rule's shares of the working load, rounded down; equal or heavier ones left out.

    Empty for body weight, bands and unknown loads.
    """
    eq = setting.equipment
    if working_load is None or eq is None or isinstance(eq, Ordinal) or eq.kind == "bodyweight":
        return ()
    made: list[PrescribedStep] = []
    last = 0
    for share, reps in setting.rules.warmup:
        load = rounded(_makeable(eq), working_load * share, "down")
        if load is None or not last < load < working_load:
            continue
        last = load
        made.append(_step(eq, setting, len(made) + 1, load, reps, working_load))
    return tuple(made)


def _step(eq: Equipment, setting: Setting, n: int, load: int, reps: int, working: int) -> PrescribedStep:
    why = reason("warmup", percent=100 * load / working, load=in_units(working), unit=eq.unit)
    return PrescribedStep(
        set_no=0,
        step_no=n,
        side="b",
        load=load,
        unit=eq.unit,
        setup=_setup_text(eq, load),
        plates=plates_per_side(eq, load) if isinstance(eq, Barbell) else (),
        places=None,
        fraction=None,
        reps_low=reps,
        reps_high=reps,
        to_failure=False,
        rep_kind="reps",
        expected_reps=float(reps),
        rir=None,
        rir_expected=None,
        rest_s=setting.rules.warmup_rest_s,
        strength_before=1.0,
        strength_after=1.0,
        impulse=0.0,
        because=(why,),
    )
