"""The filter behind the strength estimate: a random walk in log 1RM, weighed over capacity and RIR bias."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from operator import mul

from .constants import value
from .curves import checked_curve
from .errors import EngineError
from .strength_grid import (
    BIASES,
    RATIOS,
    SIZE,
    STEP,
    Table,
    at,
    log_prior,
    moments,
    normal,
    posterior,
    readings,
)
from .strength_mark import Mark
from .strength_values import Observation, Prior, Strength

Z90 = 1.6449
_DAY_VARIANCE = value("strength_day_sd") ** 2
_WEEK_VARIANCE = value("strength_week_sd") ** 2
_TREND_VARIANCE = value("strength_trend_sd") ** 2
_REP_NOISE = value("rep_noise")
_RIR_NOISE, _RIR_NOISE_GROWS = value("rir_noise_reps"), value("rir_noise_per_rir")
_TIRED = value("tired_noise")
_INFORMATIVE = value("reps_informative")
_ZONES_APART = value("capacity_zones_apart")
_TEMPER = value("capacity_evidence")
_SHAPE, _SHAPE_GROWS = value("curve_shape_sd"), value("curve_shape_grows")
_TREND_WEEKS = 26.0  # a trend fades unless the log keeps confirming it
_FIRST_VARIANCE, _FIRST_TREND_VARIANCE, _BOUND_VARIANCE = 0.25**2, 0.01**2, 0.15**2
_SURE = 0.01  # log units: what even a test of one rep leaves open
_CLIP, _CLIP_NOISE = 2.0, 0.03**2  # a set moves the estimate as if it were at most so many sd off
_CLIP_TEST = 0.25
_NEAR_FAILURE = 3.0
_ZONE_SETS = 4
_MISS = 1.2
_AT_FAILURE = 0.5
_MOST_EXPECTED = 40.0


class Filter:
    """One exercise of one client, fed in order of days. `add` takes a set in, `strength` answers for a day.

    In every cell of the lattice (capacity, RIR bias) the state is log 1RM, its trend a week and the effect of
    the day; the doubt of these is common to all cells, so that a set costs a few additions a cell. The newest
    set moves the state at once, but the weights of the cells only when the next set comes: so doing better can
    never lower the estimate by speaking for another capacity.
    """

    def __init__(self, prior: Prior, curve: str = "handbook") -> None:
        checked_curve(curve, prior.endurance)
        self.prior, self.curve = prior, curve
        self.day: date | None = None
        self.last: date | None = None
        self.count = 0
        self.x = [0.0] * SIZE
        self.trend = [0.0] * SIZE
        self.today = [0.0] * SIZE
        self.capacity_evidence = [0.0] * len(RATIOS)  # log likelihoods
        self.bias_weights = posterior(log_prior(prior.rir_bias, prior.rir_bias_sd, BIASES), None)
        self._newest: list[float] | None = None
        self._cov = [0.0] * 6  # xx, xt, tt, xd, td, dd
        # the lightest and the heaviest loads near failure, as shares of 1RM
        self._lightest: list[float] = []
        self._heaviest: list[float] = []
        # how far x, trend and day lean on the shape of the curve
        self._shape = [0.0, 0.0, 0.0]
        self._newest_zone: tuple[float, float, int] | None = None
        self._weights: list[float] | None = None
        self._mark: Mark | None = None

    # what is known

    def weights(self) -> list[float]:
        """Probability of each cell, the newest set left aside."""
        if self._weights is None:
            self._weights = [a * b for a in self.capacity_weights() for b in self.bias_weights]
        return self._weights

    def capacity_weights(self) -> list[float]:
        """Probability of each capacity; without loads far enough apart the belief stays as it was."""
        prior = log_prior(0.0, self.prior.endurance_sd, RATIOS)
        return posterior(prior, self.capacity_evidence if self.zones_apart else None)

    @property
    def zones_apart(self) -> bool:
        """Whether sets near failure span at least 15 points of 1RM, seen four times at both ends (a test is enough)."""
        enough = len(self._lightest) == _ZONE_SETS
        return enough and self._heaviest[0] - self._lightest[-1] >= _ZONES_APART

    def strength(self, as_of: date) -> Strength | None:
        """The estimate on a day not before the last set; None when nothing speaks of it."""
        if self.day is None or self.last is None:
            return None
        reach, fade, weeks = _passing((as_of - self.day).days)
        x = [a + reach * t for a, t in zip(self.x, self.trend, strict=True)]
        cov = _passed(self._cov, reach, fade, weeks)
        return _summary(self, x, cov[0], cov[2], self._shape[0])

    def mark(self) -> bool:
        """Keep the day in mind as it stands now, for `marked` and `change`; False when nothing speaks of it yet."""
        if self.day is not None:
            self._mark = Mark(self.x, self._cov, self._shape[0])
        return self._mark is not None

    def marked(self) -> Strength | None:
        """The estimate of the day that was marked, by all sets so far."""
        return _summary(self, self._mark.x, self._mark.var, self._cov[2], self._mark.lean) if self._mark else None

    def change(self) -> tuple[float, float] | None:
        """(log of the 1RM now by that of the day that was marked, sd of its doubt)."""
        if self._mark is None:
            return None
        weights, mark = self.weights(), self._mark
        gaps = [a - b for a, b in zip(self.x, mark.x, strict=True)]
        log_ratio, bias, _ = self._middle()
        shape = math.hypot(_SHAPE, _SHAPE_GROWS * log_ratio) * (self._shape[0] - mark.lean)
        walked = max(0.0, self._cov[0] + mark.var - 2 * mark.with_x)
        return at(log_ratio, bias, gaps), math.sqrt(walked + shape * shape + moments(weights, gaps)[1])

    def _middle(self) -> tuple[float, float, float]:
        """(log of the learned capacity by the default, its variance, RIR bias)."""
        log_ratio, spread = moments(self.capacity_weights(), RATIOS) if self.zones_apart else (0.0, 0.0)
        return log_ratio, moments(self.bias_weights, BIASES)[0], spread

    # taking sets in

    def add(self, seen: Observation) -> None:
        """Take in one set; days must not go back."""
        self._settle()
        seen = self._as_believed(seen)
        z = self._reading(seen)
        if self.day is None:
            self._begin(seen, z)
            return
        self._pass_to(seen.on)
        self.count += 1
        self.last = seen.on
        if seen.lower_bound:
            self._raise_to(z, seen)
        else:
            self._see(z, seen)

    def _as_believed(self, seen: Observation) -> Observation:
        if self.prior.trust_rir or seen.test or seen.lower_bound or not seen.rir:
            return seen
        rir = seen.rir if self.day is None else None
        return Observation(seen.on, seen.load_kg, seen.reps, rir, True, False, seen.strength_before, seen.may_raise)

    def _settle(self) -> None:
        if self._newest:
            self.capacity_evidence = [
                a + _TEMPER * b for a, b in zip(self.capacity_evidence, self._newest, strict=True)
            ]
            self._newest = self._weights = None
        if self._newest_zone:
            low, high, times = self._newest_zone
            self._lightest = sorted([*self._lightest, *[low] * times])[:_ZONE_SETS]
            self._heaviest = sorted([*self._heaviest, *[high] * times])[-_ZONE_SETS:]
            self._newest_zone = None

    def _reading(self, seen: Observation) -> list[float]:
        base = math.log(seen.load_kg / seen.strength_before)
        return [base + more for more in self._table(seen)[0]]

    def _table(self, seen: Observation) -> Table:
        rir = 0.0 if seen.test else seen.rir or 0.0
        sure = seen.test or seen.to_failure or seen.lower_bound
        return readings(self.curve, self.prior.endurance, float(seen.reps), float(rir), sure)

    def _begin(self, seen: Observation, z: list[float]) -> None:
        """Start every cell where the first set puts it, with wide doubt."""
        self.day = self.last = seen.on
        self.count = 1
        self.x = z
        noise = _noise(seen, float(seen.reps), 0.0)
        start = _BOUND_VARIANCE + noise if seen.lower_bound else _FIRST_VARIANCE
        self._cov = [start, 0.0, _FIRST_TREND_VARIANCE, 0.0, 0.0, _DAY_VARIANCE]
        self._shape = [_shape_of(float(seen.reps)), 0.0, 0.0]
        if not seen.lower_bound:
            self._see(z, seen)
            # the load was chosen to suit the person, so the first set says nothing of their capacity
            self._newest = None

    def _pass_to(self, day: date) -> None:
        assert self.day is not None
        reach, fade, weeks = _passing((day - self.day).days)
        if not weeks:
            return
        self.x = [a + reach * t for a, t in zip(self.x, self.trend, strict=True)]
        self.trend = [fade * t for t in self.trend]
        self.today = [0.0] * SIZE
        lean, lean_trend, _ = self._shape
        self._shape = [lean + reach * lean_trend, fade * lean_trend, 0.0]
        self._cov = _passed(self._cov, reach, fade, weeks)
        if self._mark:
            self._mark.passes(reach, fade)
        self.day = day

    def _spread(self) -> float:
        xx, _, _, xd, _, dd = self._cov
        return xx + 2 * xd + dd

    def _gaps(self, z: list[float]) -> tuple[list[float], float]:
        gaps = [a - b - c for a, b, c in zip(z, self.x, self.today, strict=True)]
        return gaps, _dot(self.weights(), gaps)

    def _expected_reps(self, seen: Observation) -> float:
        """Reps to failure at this load by the present mean, on a smooth curve."""
        weights = self.weights()
        x = _dot(weights, self.x) + _dot(weights, self.today)
        return min(_MOST_EXPECTED, max(1.0, 30 * (seen.strength_before * math.exp(x) / seen.load_kg - 1)))

    def _see(self, z: list[float], seen: Observation) -> None:
        xx, xt, tt, xd, td, dd = self._cov
        spread = self._spread()
        reps = self._expected_reps(seen)
        typed = seen.rir or 0.0
        noise = _noise(seen, reps, min(typed, max(0.0, reps - seen.reps)))
        gaps, middle = self._gaps(z)
        limit = _CLIP * math.sqrt(spread + _CLIP_NOISE)
        if seen.test:
            limit = max(limit, _CLIP_TEST)
        total = spread + noise
        # More than expected: the noise of what was expected, in reps and in reserve; less: that of what was done (a
        # fifth more, as a usual miss has it). So the weight never falls where doing better ought to raise x.
        ratio = total / (spread + _noise(seen, _MISS * (seen.reps + typed), typed))
        cut = [min(g, limit) if g > 0 else ratio * max(g, -limit) for g in gaps]
        self._newest = self._speaks(seen, reps, gaps, limit)
        self._note_zone(seen)
        held = (seen.reps > _INFORMATIVE or not seen.may_raise) and not seen.test
        if held:
            cut = [min(0.0, c) for c in cut]
        gx, gt, gd = (xx + xd) / total, (xt + td) / total, (xd + dd) / total
        self.x = [a + gx * c for a, c in zip(self.x, cut, strict=True)]
        self.trend = [a + gt * c for a, c in zip(self.trend, cut, strict=True)]
        self.today = [a + gd * c for a, c in zip(self.today, cut, strict=True)]
        if self._mark:
            self._mark.sees(cut, total)
        if held and middle > 0:
            return
        # a set that had to be cut short narrows the doubt less
        total = spread + noise * max(1.0, abs(middle) / limit)
        hx, ht, hd = xx + xd, xt + td, xd + dd
        lean = _shape_of(reps) - self._shape[0] - self._shape[2]
        self._shape = [a + h / total * lean for a, h in zip(self._shape, (hx, ht, hd), strict=True)]
        if self._mark:
            self._mark.settles((hx, ht, hd), total, lean)
        self._cov = [
            xx - hx * hx / total, xt - hx * ht / total, tt - ht * ht / total,
            xd - hx * hd / total, td - ht * hd / total, dd - hd * hd / total,
        ]  # fmt: skip

    def _speaks(self, seen: Observation, reps: float, gaps: list[float], limit: float) -> list[float]:
        """Log likelihood of a set by capacity.

        Squared gaps over the noise of load and reps together, without the density's scale: the weight of a capacity
        must not hang on how well the size of the noise was guessed.
        """
        of_load = self._spread() + (_TIRED * (1 - seen.strength_before)) ** 2 + _SURE**2
        rir = seen.rir or 0.0
        of_reps = 0.0 if seen.test else (_REP_NOISE * reps * (30 + reps)) ** 2 + _guess(seen, rir) ** 2
        n = len(BIASES)
        return [
            _huber(_dot(self.bias_weights, gaps[i * n : i * n + n]), limit) / (of_load + of_reps * slope * slope)
            for i, slope in enumerate(self._table(seen)[1])
        ]

    def _raise_to(self, z: list[float], seen: Observation) -> None:
        """A lower bound: all cells go up alike by its surprise, the doubt stays as it was."""
        _, gap = self._gaps(z)
        if gap <= 0 or seen.reps > _INFORMATIVE or not seen.may_raise:
            return
        spread = self._spread()
        gap = min(gap, _CLIP * math.sqrt(spread + _CLIP_NOISE))
        total = spread + 2 * _noise(seen, self._expected_reps(seen), 0.0)
        gain = (self._cov[0] + self._cov[3]) / total
        self.x = [a + gain * gap for a in self.x]
        if self._mark:
            self._mark.sees([gap] * SIZE, total)

    def _note_zone(self, seen: Observation) -> None:
        if not seen.test and (seen.rir or 0.0) > _NEAR_FAILURE:
            return
        x = _dot(self.weights(), self.x)
        share = seen.load_kg / math.exp(x)
        # neither a load lowered for fatigue nor fatigue at the same load makes another zone
        self._newest_zone = (share / seen.strength_before, share, _ZONE_SETS if seen.test else 1)


def _guess(seen: Observation, rir: float) -> float:
    """Sd in reps of how many could have been done; half a rep when nothing was left."""
    if seen.test:
        return 0.0
    if rir >= 1:
        return _RIR_NOISE + _RIR_NOISE_GROWS * rir
    return _AT_FAILURE + rir * (_RIR_NOISE + _RIR_NOISE_GROWS - _AT_FAILURE)


def _shape_of(reps: float) -> float:
    """How much of the curves' disagreement enters a reading: nothing at one rep, all of it from four on."""
    return min(1.0, max(0.0, (reps - 1) / 3))


def _noise(seen: Observation, reps: float, rir: float) -> float:
    """Variance of what a set says of log 1RM, at so many reps to failure with so many in reserve."""
    if seen.test:
        return (_SURE + _REP_NOISE * (reps - 1)) ** 2
    tired = _TIRED * (1 - seen.strength_before)
    return (_guess(seen, rir) / (30 + reps)) ** 2 + (_REP_NOISE * reps) ** 2 + tired**2 + _SURE**2


def _passing(days: int) -> tuple[float, float, float]:
    """(weeks' worth of trend that reach x, what is left of the trend, weeks)."""
    weeks = max(0, days) / 7
    fade = math.exp(-weeks / _TREND_WEEKS)
    return _TREND_WEEKS * (1 - fade), fade, weeks


def _passed(cov: list[float], reach: float, fade: float, weeks: float) -> list[float]:
    """The covariance after so much time: a random walk with a fading trend; a new day has its own effect."""
    if not weeks:
        return cov
    xx, xt, tt = cov[:3]
    return [
        xx + 2 * reach * xt + reach * reach * tt + _WEEK_VARIANCE * weeks,
        fade * (xt + reach * tt),
        fade * fade * tt + _TREND_VARIANCE * weeks,
        0.0, 0.0, _DAY_VARIANCE,
    ]  # fmt: skip


def _quantile(share: float, cells: list[tuple[float, float]], sd: float) -> float:
    low, high = min(x for _, x in cells) - 4 * sd, max(x for _, x in cells) + 4 * sd
    scale = 1 / (sd * math.sqrt(2))
    weights, places = [w for w, _ in cells], [x * scale for _, x in cells]
    # P(below) = half of sum w (1 + erf), so the sum of w erf is what is looked for.
    wanted = 2 * share - sum(weights)
    for _ in range(14):
        middle = (low + high) / 2
        at_middle = middle * scale
        below = _dot(weights, [math.erf(at_middle - place) for place in places])
        low, high = (middle, high) if below < wanted else (low, middle)
    return (low + high) / 2


def _dot(weights: Sequence[float], values: Sequence[float]) -> float:
    return sum(map(mul, weights, values))


def _huber(gap: float, limit: float) -> float:
    """Minus half the square, growing only in proportion beyond the limit."""
    kept = max(-limit, min(limit, gap))
    return kept * (0.5 * kept - gap)


def _summary(filtered: Filter, x: list[float], var: float, trend_var: float, lean: float) -> Strength:
    weights, prior = filtered.weights(), filtered.prior
    bias, bias_spread = moments(filtered.bias_weights, BIASES)
    log_ratio, _, ratio_spread = filtered._middle()
    # read at one capacity and bias, so that 1RM and capacity together give back what was logged
    center = at(log_ratio, bias, x)
    if not -20 < center < 9.2:
        raise EngineError("estimated 1RM", math.exp(min(center, 700.0)), "from above 0 to 10000 kg: check the loads")
    shape = math.hypot(_SHAPE, _SHAPE_GROWS * log_ratio) * lean
    sd = math.sqrt(var + shape * shape)
    cells = [(w, a) for w, a in zip(weights, x, strict=True) if w > 1e-4]
    mean = math.exp(center)
    low, high = (math.exp(_quantile(q, cells, sd)) for q in (0.05, 0.95))
    trend, apart = moments(weights, filtered.trend)
    capacity = {}
    if filtered.zones_apart:
        known = min(5.0, max(0.2, prior.endurance * math.exp(log_ratio)))
        capacity = {"endurance": known, "endurance_sd": known * math.sqrt(ratio_spread + STEP**2 / 12)}
    return Strength(
        mean_kg=mean, low_kg=min(low, mean), high_kg=max(high, mean),
        sd_log=math.sqrt(sd * sd + moments(weights, x)[1]), trend_per_week=max(-3.0, min(3.0, trend)),
        p_rising=normal(trend / math.sqrt(trend_var + apart)), last_on=filtered.last, count=filtered.count,
        rir_bias=bias, rir_bias_sd=math.sqrt(bias_spread), **capacity,
    )  # fmt: skip
