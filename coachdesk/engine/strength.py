"""Maximum strength as an estimate with doubt, learned from logged sets and tests."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from .constants import value
from .curves import checked_curve
from .errors import MAX_REPS, EngineError, instance, items, non_negative_float, number, positive_float
from .frozen import hash_once

Z90 = 1.6449
_DAY_SD = value("strength_day_sd")
_DAY_VARIANCE = _DAY_SD**2
_WEEK_VARIANCE = value("strength_week_sd") ** 2
_TREND_VARIANCE = value("strength_trend_sd") ** 2
_REP_NOISE, _RIR_NOISE = value("rep_noise"), value("rir_noise_reps")
_INFORMATIVE = value("reps_informative")
_BIAS_SD, _CAPACITY_SD = value("rir_bias_sd"), value("capacity_sd")
_TREND_WEEKS = 26.0  # a trend fades unless the log keeps confirming it
_FIRST_SD, _FIRST_TREND_SD, _BOUND_SD = 0.25, 0.01, 0.15
_OUTLIER = 2.0


def _civil(name: str, day: Any) -> None:
    # a datetime is a date to isinstance, but the two cannot be compared
    if isinstance(day, datetime) or not isinstance(day, date):
        raise EngineError(name, day, "a date without a time of day")


@hash_once
@dataclass(frozen=True)
class Strength:
    """1RM in kg with its 90 % interval; sd of log 1RM; trend in log units a week; as of the date asked."""

    mean_kg: float
    low_kg: float
    high_kg: float
    sd_log: float
    trend_per_week: float = 0.0
    p_rising: float = 0.5
    last_on: date | None = None
    count: int = 0

    def __post_init__(self) -> None:
        positive_float("1RM", self.mean_kg)
        positive_float("lower end of the 1RM", self.low_kg, self.mean_kg)
        number("upper end of the 1RM", self.high_kg, self.mean_kg, 1_000_000)
        number("sd of log 1RM", self.sd_log, 0, 3)
        number("trend", self.trend_per_week, -3, 3)
        number("probability of rising", self.p_rising, 0, 1)
        if self.last_on is not None:
            _civil("last day", self.last_on)
        number("count", self.count, 0, 1_000_000)

    def lower_quarter_kg(self, z: float) -> float:
        """The 1RM at `z` standard deviations below the mean (0.6745: the lower quartile)."""
        return self.mean_kg * math.exp(-z * self.sd_log)


@dataclass(frozen=True)
class Observation:
    """One logged set or test: load in kg, reps done, RIR if typed.

    `lower_bound`: ticked off as written without a RIR. Missed reps: rir=0. `strength_before`: predicted
    strength left before the set. Leave out what does not speak of the maximum: drops after the first step.
    """

    on: date
    load_kg: float
    reps: float
    rir: float | None = None
    lower_bound: bool = False
    test: bool = False
    strength_before: float = 1.0

    def __post_init__(self) -> None:
        _civil("day", self.on)
        positive_float("load in kg", self.load_kg)
        positive_float("reps", self.reps, MAX_REPS)
        if self.rir is not None:
            non_negative_float("RIR", self.rir, 20)
        instance("lower_bound", self.lower_bound, bool)
        instance("test", self.test, bool)
        number("strength before", self.strength_before, 0.05, 1)


_X, _TREND, _DAY, _BIAS, _CAPACITY = range(5)


class _Filter:
    """State: log 1RM, trend a week, day effect, RIR bias in reps, log of repetition capacity over assumed."""

    def __init__(self, x: float, variance: float) -> None:
        self.state = [x, 0.0, 0.0, 0.0, 0.0]
        doubts = (variance, _FIRST_TREND_SD**2, _DAY_VARIANCE, _BIAS_SD**2, _CAPACITY_SD**2)
        self.cov = [[doubts[i] if i == j else 0.0 for j in range(5)] for i in range(5)]

    def pass_days(self, days: int) -> None:
        """Random walk with a fading trend; a new day has its own day effect."""
        if days <= 0:
            return
        weeks = days / 7
        fade = math.exp(-weeks / _TREND_WEEKS)
        reach = _TREND_WEEKS * (1 - fade)  # weeks' worth of the trend that reach x
        _move(self.state, reach, fade)
        for row in self.cov:
            _move(row, reach, fade)
        turned = [list(column) for column in zip(*self.cov, strict=True)]
        for row in turned:
            _move(row, reach, fade)
        self.cov = turned
        self.cov[_X][_X] += _WEEK_VARIANCE * weeks
        self.cov[_TREND][_TREND] += _TREND_VARIANCE * weeks
        self.cov[_DAY][_DAY] += _DAY_VARIANCE

    def expected(self, seen: _Reading) -> float:
        """What the reading should be, by the present state."""
        return sum(h * s for h, s in zip(seen.weights, self.state, strict=True))

    def see(self, seen: _Reading, *, raise_only: bool = False) -> None:
        """Take in one reading; with raise_only x alone moves and the doubt stays as it was."""
        column = [sum(h * c for h, c in zip(seen.weights, row, strict=True)) for row in self.cov]
        spread = sum(h * c for h, c in zip(seen.weights, column, strict=True))
        gap = seen.z - self.expected(seen)
        variance = 2 * seen.variance if raise_only else seen.variance
        surprise = abs(gap) / math.sqrt(spread + variance)
        if surprise > _OUTLIER:  # heavy tails: the further out, the less it is believed
            variance = variance * (surprise / _OUTLIER) ** 2 + spread * (surprise / _OUTLIER - 1)
        gain = [c / (spread + variance) for c in column]
        # bias and capacity cannot be told from strength by ordinary sets, so they only widen the doubt
        gain[_BIAS] = gain[_CAPACITY] = 0.0
        if raise_only:
            self.state[_X] += max(0.0, gain[_X] * gap)
            return
        self.state = [s + g * gap for s, g in zip(self.state, gain, strict=True)]
        total = spread + variance
        self.cov = [
            [self.cov[i][j] - gain[i] * column[j] - column[i] * gain[j] + gain[i] * total * gain[j] for j in range(5)]
            for i in range(5)
        ]


def _move(row: list[float], reach: float, fade: float) -> None:
    row[_X] += reach * row[_TREND]
    row[_TREND] *= fade
    row[_DAY] = 0.0


@dataclass(frozen=True)
class _Reading:
    """What a set says: log load over fraction, its variance, how each state enters it."""

    z: float
    variance: float
    weights: tuple[float, float, float, float, float]


def _reading(seen: Observation, phi: Any) -> _Reading:
    total = seen.reps + (seen.rir or 0.0)
    z = math.log(seen.load_kg / (seen.strength_before * phi(total)))
    # over two reps: the chart's single steps are uneven
    slope = (math.log(phi(max(0.0, total - 1))) - math.log(phi(total + 1))) / 2
    felt = slope if seen.rir and not seen.test else 0.0
    weights = (1.0, 0.0, 1.0, felt, slope * max(0.0, total - 1))
    if seen.test:
        return _Reading(z, (0.01 + _REP_NOISE * max(0.0, total - 1)) ** 2, weights)
    guess = 0.5 if not seen.rir else _RIR_NOISE * (0.7 + 0.15 * seen.rir)
    tired = 0.15 * (1 - seen.strength_before)
    variance = (slope * guess) ** 2 + (_REP_NOISE * total) ** 2 + tired**2 + 0.01**2
    return _Reading(z, variance, weights)


def estimate_strength(
    observations: Sequence[Observation], as_of: date, endurance: float = 1.0, curve: str = "handbook"
) -> Strength | None:
    """The 1RM on `as_of` from what was logged up to then; None when nothing speaks of it.

    Learned besides: a trend and each day's effect. The bias of typed RIR and the repetition capacity are not
    learned yet: they widen the interval, less so after tests and heavy sets to failure. A lower bound only
    raises the estimate and leaves its doubt alone; sets over 15 reps never raise it.
    """
    phi = checked_curve(curve, endurance).phi
    _civil("as_of", as_of)
    given = items("observations", observations)
    for seen in given:
        instance("observation", seen, Observation)
    known = sorted((seen for seen in given if seen.on <= as_of), key=lambda seen: seen.on)
    # a bound first would anchor the estimate: begin with the first set whose effort is known
    full = [seen for seen in known if not seen.lower_bound] or known
    if not full:
        return None
    filtered, last = _run(known, full[0], phi)
    filtered.pass_days((as_of - last).days)
    return _summary(filtered, last, len(known))


def _run(known: list[Observation], first: Observation, phi: Any) -> tuple[_Filter, date]:
    start = _reading(first, phi)
    doubt = start.variance + sum(
        (weight * sd) ** 2 for weight, sd in zip(start.weights[2:], (_DAY_SD, _BIAS_SD, _CAPACITY_SD), strict=True)
    )
    filtered, day = _Filter(start.z, _BOUND_SD**2 if first.lower_bound else _FIRST_SD**2), first.on
    if first.lower_bound:
        filtered.cov[_X][_X] = _BOUND_SD**2 + doubt
    else:
        filtered.see(start)
    for seen in known:
        if seen is first or seen.on < first.on:
            continue
        filtered.pass_days((seen.on - day).days)
        day = seen.on
        reading = _reading(seen, phi)
        higher = reading.z > filtered.expected(reading)
        if seen.lower_bound:
            if higher:
                filtered.see(reading, raise_only=True)
        elif not (higher and seen.reps > _INFORMATIVE):
            filtered.see(reading)
    return filtered, known[-1].on


def _summary(filtered: _Filter, last: date, count: int) -> Strength:
    x, trend = filtered.state[_X], filtered.state[_TREND]
    sd = math.sqrt(max(filtered.cov[_X][_X], 1e-8))
    trend_sd = math.sqrt(max(filtered.cov[_TREND][_TREND], 1e-12))
    mean = math.exp(x)
    rising = 0.5 * (1 + math.erf(trend / trend_sd / math.sqrt(2)))
    if not 1e-9 <= mean <= 10_000 or sd > 3:
        raise EngineError("estimated 1RM", mean, "from above 0 to 10000 kg: check the logged loads")
    low, high = mean * math.exp(-Z90 * sd), mean * math.exp(Z90 * sd)
    return Strength(mean, low, high, sd, max(-3.0, min(3.0, trend)), rising, last, count)


_SLIPS = ((1 / 0.45359237, "lb typed for kg"), (10.0, "decimal point"), (2.0, "pair counted"))


def suspicious_ratio(load_kg: float, expected_kg: float) -> str | None:
    """The likely slip when load / expected is near 2.2, 10 or 2 or their inverses (within 4 %); else None.

    Between 2 and 2.2 the nearer one is named.
    """
    ratio = positive_float("load", load_kg) / positive_float("expected load", expected_kg)
    gaps = [(abs(math.log(ratio)) - math.log(factor), words) for factor, words in _SLIPS]
    nearest, words = min((abs(gap), words) for gap, words in gaps)
    return words if nearest <= 0.04 else None
