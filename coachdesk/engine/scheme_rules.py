"""The smallest parts of a scheme: what sets a step's load, how many reps, and the step made of both."""

from __future__ import annotations

from dataclasses import dataclass

from .errors import EngineError, instance, number, one_of, whole
from .frozen import hash_once
from .loads import MOST_THOUSANDTHS, UNITS

OWN_LOADS = ("percent", "rep_max", "effort", "fixed", "place")
DROPS = ("drop_percent", "drop_places")
RISES = ("rise_percent", "rise_places")
LOAD_KINDS = (*OWN_LOADS, "same", *DROPS, *RISES)
REP_KINDS = ("reps", "range", "failure", "at_least", "seconds", "metres")
SIDES = ("b", "l", "r")
HOLDS = ("load", "rir", "range")
MOST_REST = 3600


@hash_once
@dataclass(frozen=True)
class LoadRule:
    """What sets a step's load; `value` in percent, reps, thousandths of `unit`, or places.

    A load of its own: percent of 1RM (above 0 to 100), rep_max n (1-30), effort (reps and RIR decide, no
    value), fixed (negative: assistance), place (1-500, counted from the lightest). Taken from the step
    before: same (no value), drop_percent and rise_percent (1-90), drop_places and rise_places (1-20).
    """

    kind: str
    value: float | None = None
    unit: str = ""

    def __post_init__(self) -> None:
        one_of("load kind", self.kind, LOAD_KINDS)
        if self.kind == "percent":
            number("percent of 1RM", self.value, 0, 100, open_low=True)
        elif self.kind == "rep_max":
            number("rep maximum", self.value, 1, 30)
        elif self.kind == "fixed":
            whole("fixed load", self.value, -MOST_THOUSANDTHS, MOST_THOUSANDTHS)
            one_of("unit", self.unit, UNITS)
        elif self.kind == "place":
            whole("place", self.value, 1, 500)
        elif self.kind in ("drop_percent", "rise_percent"):
            number("drop" if self.is_drop else "rise", self.value, 1, 90)
        elif self.kind in ("drop_places", "rise_places"):
            whole("places down" if self.is_drop else "places up", self.value, 1, 20)
        elif self.value is not None:
            right = "empty when " + ("the load stays" if self.kind == "same" else "reps and RIR decide the load")
            raise EngineError("load value", self.value, right)
        if self.kind != "fixed" and self.unit != "":
            raise EngineError("unit", self.unit, "empty unless the load is fixed")

    @property
    def is_relative(self) -> bool:
        """Whether it is taken from the step before."""
        return self.kind not in OWN_LOADS

    @property
    def is_drop(self) -> bool:
        """Whether it is a drop from the step before."""
        return self.kind in DROPS


@hash_once
@dataclass(frozen=True)
class RepRule:
    """How many: reps, at_least, seconds or metres (low == high), a range, to failure (0, 0).

    at_least n goes on past n until the reserve of the step (none: failure) is reached.
    """

    kind: str
    low: int = 0
    high: int = 0

    def __post_init__(self) -> None:
        one_of("rep kind", self.kind, REP_KINDS)
        if self.kind == "failure":
            if self.low != 0 or self.high != 0:
                raise EngineError("reps", (self.low, self.high), "0 and 0 when the step goes to failure")
            return
        most = {"seconds": 3600, "metres": 10_000}.get(self.kind, 1000)
        whole(self.kind, self.low, 1, most)
        whole(self.kind, self.high, self.low, most)
        if self.kind != "range" and self.low != self.high:
            raise EngineError(self.kind, (self.low, self.high), "one number")

    @property
    def counts_reps(self) -> bool:
        """Whether the step is counted in repetitions."""
        return self.kind not in ("seconds", "metres")


@hash_once
@dataclass(frozen=True)
class StepRule:
    """One unbroken bout: load and rep rule, reserve, rest after it in s, side, what fatigue leaves alone.

    `hold`: 'load' (the reserve falls), 'rir' (the load follows the strength left), 'range' (the load stays
    until the reps leave their range, then it is lowered and stays there).
    """

    load: LoadRule
    reps: RepRule
    rir: float | None = None
    rest_s: float = 0.0
    side: str = "b"
    hold: str = "load"

    def __post_init__(self) -> None:
        instance("load rule", self.load, LoadRule)
        instance("rep rule", self.reps, RepRule)
        if self.rir is not None:
            number("RIR", self.rir, 0, 10)
        number("rest", self.rest_s, 0, MOST_REST)
        one_of("side", self.side, SIDES)
        one_of("hold", self.hold, HOLDS)
        if self.reps.kind == "failure" and self.rir:
            raise EngineError("RIR", self.rir, "empty or 0 when the step goes to failure")
        if self.load.kind == "effort" and self.reps.kind == "failure":
            raise EngineError("reps", "failure", "a number or range when reps and RIR decide the load")
        if self.load.kind == "effort" and self.reps.counts_reps and self.rir is None:
            raise EngineError("RIR", None, "a number from 0 to 10 when reps and RIR decide the load")
