"""Values of the strength estimate: what was seen of a maximum, and the maximum with its doubt."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from .constants import value
from .errors import MAX_REPS, EngineError, instance, non_negative_float, number, positive_float
from .frozen import hash_once


def civil(name: str, day: Any) -> None:
    """Refuse anything but a date; a datetime is a date to isinstance, but the two cannot be compared."""
    if isinstance(day, datetime) or not isinstance(day, date):
        raise EngineError(name, day, "a date without a time of day")


@hash_once
@dataclass(frozen=True)
class Strength:
    """1RM in kg with its 90 % interval; sd of log 1RM; trend in log units a week; as of the date asked.

    `p_rising`: probability that the trend is above zero. `endurance` (repetition capacity) and its sd: None until
    learned from load zones far enough apart. `rir_bias`: reps to add to a typed RIR, as far as known.
    """

    mean_kg: float
    low_kg: float
    high_kg: float
    sd_log: float
    trend_per_week: float = 0.0
    p_rising: float = 0.5
    last_on: date | None = None
    count: int = 0
    endurance: float | None = None
    endurance_sd: float | None = None
    rir_bias: float = 0.0
    rir_bias_sd: float = 1.0

    def __post_init__(self) -> None:
        positive_float("1RM", self.mean_kg)
        positive_float("lower end of the 1RM", self.low_kg, self.mean_kg)
        number("upper end of the 1RM", self.high_kg, self.mean_kg, 1_000_000)
        number("sd of log 1RM", self.sd_log, 0, 3)
        number("trend", self.trend_per_week, -3, 3)
        number("probability of rising", self.p_rising, 0, 1)
        if self.last_on is not None:
            civil("last day", self.last_on)
        number("count", self.count, 0, 1_000_000)
        if self.endurance is not None:
            number("endurance", self.endurance, 0.2, 5)
        if self.endurance_sd is not None:
            number("sd of endurance", self.endurance_sd, 0, 5)
        number("RIR bias", self.rir_bias, -10, 10)
        number("sd of the RIR bias", self.rir_bias_sd, 0, 10)

    def lower_quarter_kg(self, z: float) -> float:
        """The 1RM at `z` standard deviations below the mean (0.6745: the lower quartile)."""
        return self.mean_kg * math.exp(-z * self.sd_log)


@dataclass(frozen=True)
class Observation:
    """One logged set or test: load in kg, reps done, RIR if typed.

    `lower_bound`: ticked off as written without a RIR. Missed reps: rir=0. `strength_before`: predicted
    strength left before the set. `may_raise` False: counts against the estimate but never for it (pain, an
    exercise's second and third session). `to_failure`: planned to go on to failure, so that the typed RIR of other
    sets can be judged by it. Leave out what does not speak of the maximum: drops after the first
    step, later bouts of rest-pause.
    """

    on: date
    load_kg: float
    reps: float
    rir: float | None = None
    lower_bound: bool = False
    test: bool = False
    strength_before: float = 1.0
    may_raise: bool = True
    to_failure: bool = False

    def __post_init__(self) -> None:
        civil("day", self.on)
        positive_float("load in kg", self.load_kg)
        positive_float("reps", self.reps, MAX_REPS)
        if self.rir is not None:
            non_negative_float("RIR", self.rir, 20)
        instance("lower_bound", self.lower_bound, bool)
        instance("test", self.test, bool)
        number("strength before", self.strength_before, 0.05, 1)
        instance("may_raise", self.may_raise, bool)
        instance("to_failure", self.to_failure, bool)


@dataclass(frozen=True)
class Prior:
    """What is believed of a person before the exercise's own log: repetition capacity and RIR bias, with sd.

    `endurance_sd` is on the log scale. `rir_bias`: reps to add to a typed RIR (positive: more was left than
    typed). `trust_rir` False: the answers are uninformative, so a set with a typed RIR above 0 is a lower bound.
    """

    endurance: float = 1.0
    endurance_sd: float = value("capacity_sd")
    rir_bias: float = 0.0
    rir_bias_sd: float = value("rir_bias_sd")
    trust_rir: bool = True

    def __post_init__(self) -> None:
        number("endurance", self.endurance, 0.2, 5)
        number("sd of log endurance", self.endurance_sd, 0.01, 2)
        number("RIR bias", self.rir_bias, -5, 5)
        number("sd of the RIR bias", self.rir_bias_sd, 0.05, 5)
        instance("trust_rir", self.trust_rir, bool)
