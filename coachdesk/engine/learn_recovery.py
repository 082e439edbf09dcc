"""A person's own recovery between sets, learned from sessions of several sets and shrunk to the default."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .constants import value
from .errors import non_negative_float, positive_float
from .strength_grid import log_prior, moments, posterior
from .strength_left import LEAST, TAU_FAST, TAU_SLOW, Model, model_for

_S0 = value("slow_s0")
_SD = value("recovery_sd")
_LEAST_SESSIONS = int(value("recovery_sessions"))
_EVIDENCE = value("recovery_evidence")
# how much of the cost is slow, over the default, as a logarithm
SCALES = tuple(0.2 * j for j in range(-5, 6))
_MOST_SESSIONS = 60
# the first set tells the day's maximum only roughly: shifts of log 1RM
_SHIFTS = tuple(0.02 * j for j in range(-4, 5))


@dataclass(frozen=True)
class Bout:
    """The first bout of one set: load in kg, reps, RIR (0 at failure; None: not known), seconds of rest after it."""

    load_kg: float
    reps: float
    rir: float | None = None
    rest_s: float = 120.0

    def __post_init__(self) -> None:
        positive_float("load in kg", self.load_kg)
        positive_float("reps", self.reps, 1000)
        if self.rir is not None:
            non_negative_float("RIR", self.rir, 20)
        non_negative_float("rest_s", self.rest_s, 1_000_000)


def recovery_evidence(sessions: Sequence[tuple[Bout, ...]], curve: str, endurance: float) -> tuple[int, list[float]]:
    """(sessions that speak, log likelihood of each scale): the newest 60 whose first set has a known effort."""
    speaking = [s for s in sessions if sum(b.rir is not None for b in s) > 1 and s[0].rir is not None]
    speaking = speaking[-_MOST_SESSIONS:]
    total = [0.0] * len(SCALES)
    if not speaking:
        return 0, total
    for i, scale in enumerate(SCALES):
        model = model_for(curve, endurance, min(1.0, _S0 * math.exp(scale)))
        for session in speaking:
            total[i] += _session(session, model)
    return len(speaking), total


def _session(bouts: tuple[Bout, ...], model: Model) -> float:
    first = bouts[0]
    fresh = first.load_kg / model.curve.phi(first.reps + (first.rir or 0.0))
    found = [_fit(bouts, fresh * math.exp(shift), model) for shift in _SHIFTS]
    top = max(found)
    return top + math.log(sum(math.exp(one - top) for one in found))


def _fit(bouts: tuple[Bout, ...], maximum: float, model: Model) -> float:
    """Log likelihood of the reps of every set, at one fresh 1RM."""
    fast = slow = total = 0.0
    # the same for all scales: noise that grew with the prediction would favour the scale that predicts more
    noise = 1.0 + 0.08 * bouts[0].reps
    for n, bout in enumerate(bouts):
        before = max(LEAST, 1 - fast - slow)
        share = bout.load_kg / maximum
        left = model.reps_left(share, before)
        if bout.rir is not None:
            gap = (bout.reps + bout.rir - left) / noise
            total -= 0.5 * gap * gap if abs(gap) < 2 else 2 * abs(gap) - 2
        lost_fast, lost_slow = model.cost(share, before, min(bout.reps, left), left)
        rest = bout.rest_s if n + 1 < len(bouts) else 0.0
        fast = (fast + lost_fast) * math.exp(-rest / TAU_FAST)
        slow = (slow + lost_slow) * math.exp(-rest / TAU_SLOW)
    return total


def settled_recovery(found: Sequence[tuple[int, list[float]]]) -> tuple[float, float]:
    """(scale, sd): 1 and the spread between people until 8 sessions speak, then shrunk towards 1."""
    sessions = sum(n for n, _ in found)
    evidence = [_EVIDENCE * sum(each) for each in zip(*(e for _, e in found), strict=True)] if found else None
    if sessions < _LEAST_SESSIONS:
        return 1.0, _SD
    mean, spread = moments(posterior(log_prior(0.0, _SD, SCALES), evidence), SCALES)
    scale = math.exp(mean)
    return scale, scale * math.sqrt(spread)
