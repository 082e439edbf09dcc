"""A person's own recovery between sets, learned from sessions of several sets and shrunk to the default."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from .constants import value
from .errors import EngineError, instance, items, non_negative_float, number, positive_float, whole
from .strength_grid import log_prior, moments, posterior
from .strength_left import LEAST, TAU_FAST, TAU_SLOW, Model, model_for

_SD = value("recovery_sd")
_LEAST_SESSIONS = int(value("recovery_sessions"))
_EVIDENCE = value("recovery_evidence")
# how many times a second of rest counts, as a logarithm
PACES = tuple(0.2 * j for j in range(-5, 6))
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


@dataclass(frozen=True)
class Recovery:
    """How many times a second of rest between sets counts for a person, its sd, and the sessions it was learned from.

    1 until 8 sessions speak; above 1: strength comes back faster than by default.
    """

    pace: float = 1.0
    sd: float = _SD
    sessions: int = 0

    def __post_init__(self) -> None:
        number("recovery", self.pace, 0.2, 5)
        number("sd of recovery", self.sd, 0, 5)
        whole("sessions", self.sessions, 0, 10_000_000)

    @property
    def learned(self) -> bool:
        """Whether enough sessions spoke."""
        return self.sessions >= _LEAST_SESSIONS


def learn_recovery(sessions: Sequence[tuple[Sequence[Bout], float]]) -> Recovery:
    """A person's pace from (first bouts of an exercise's sets in order, its repetition capacity), oldest first."""
    found = []
    for one in items("sessions", sessions):
        parts = items("session and capacity", one, most=2)
        if len(parts) != 2:
            raise EngineError("session and capacity", one, "two values")
        session, endurance = parts
        for bout in items("session", session, most=100):
            instance("bout", bout, Bout)
        found.append(recovery_evidence([tuple(session)], "handbook", number("endurance", endurance, 0.2, 5)))
    return settled_recovery([pair for pair in found if pair[0]][-_MOST_SESSIONS:])


def recovery_evidence(sessions: Sequence[tuple[Bout, ...]], curve: str, endurance: float) -> tuple[int, list[float]]:
    """(sessions that speak, log likelihood of each pace): the newest 60 with an effort known at first and again."""
    speaking = [s for s in sessions if sum(b.rir is not None for b in s) > 1 and s[0].rir is not None]
    speaking = speaking[-_MOST_SESSIONS:]
    each = [_session(session, curve, endurance) for session in speaking]
    return len(speaking), [sum(column) for column in zip(*each, strict=True)] if each else [0.0] * len(PACES)


@lru_cache(maxsize=20_000)
def _session(bouts: tuple[Bout, ...], curve: str, endurance: float) -> tuple[float, ...]:
    model = model_for(curve, endurance)
    first = bouts[0]
    fresh = first.load_kg / model.curve.phi(first.reps + (first.rir or 0.0))
    made = []
    for pace in PACES:
        found = [_fit(bouts, fresh * math.exp(shift), model, math.exp(pace)) for shift in _SHIFTS]
        top = max(found)
        made.append(top + math.log(sum(math.exp(one - top) for one in found)))
    return tuple(made)


def _fit(bouts: tuple[Bout, ...], maximum: float, model: Model, pace: float) -> float:
    """Log likelihood of the reps of every set, at one fresh 1RM."""
    fast = slow = total = 0.0
    # the same for all paces: noise that grew with the prediction would favour the pace that predicts more
    noise = 1.0 + 0.08 * bouts[0].reps
    for n, bout in enumerate(bouts):
        before = max(LEAST, 1 - fast - slow)
        share = bout.load_kg / maximum
        left = model.reps_left(share, before)
        if bout.rir is not None:
            gap = (bout.reps + bout.rir - left) / noise
            total -= 0.5 * gap * gap if abs(gap) < 2 else 2 * abs(gap) - 2
        lost_fast, lost_slow = model.cost(share, before, min(bout.reps, left), left)
        rest = bout.rest_s * pace if n + 1 < len(bouts) else 0.0
        fast = (fast + lost_fast) * math.exp(-rest / TAU_FAST)
        slow = (slow + lost_slow) * math.exp(-rest / TAU_SLOW)
    return total


def settled_recovery(found: Sequence[tuple[int, list[float]]]) -> Recovery:
    """The default and the spread between people until 8 sessions speak, then shrunk towards the default."""
    sessions = sum(n for n, _ in found)
    if sessions < _LEAST_SESSIONS:
        return Recovery(sessions=sessions)
    evidence = [_EVIDENCE * sum(each) for each in zip(*(e for _, e in found), strict=True)]
    mean, spread = moments(posterior(log_prior(0.0, _SD, PACES), evidence), PACES)
    pace = math.exp(mean)
    return Recovery(pace, pace * math.sqrt(spread), sessions)
