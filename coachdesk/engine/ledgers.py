"""Strength left of several exercises on one clock: each keeps its own losses, shared through muscles."""

from __future__ import annotations

import math
from functools import lru_cache

from .strength_left import LEAST, TAU_FAST, TAU_SLOW

Muscles = tuple[tuple[str, float], ...]


@lru_cache(maxsize=8192)
def overlap(one: Muscles, other: Muscles) -> float:
    """How much of a loss on `other` is felt on `one`, 0 to 1: the part of `one`'s muscle shares that `other` uses.

    A press with chest 1, triceps 0.5 and shoulder 0.5 feels half of what a chest isolation exercise lost;
    an isolation exercise feels all of a press for its muscle. Not the same both ways.
    """
    shares, total = dict(other), sum(share for _, share in one)
    return sum(min(share, shares.get(code, 0.0)) for code, share in one) / total if total else 0.0


class Ledgers:
    """Fast and slow losses per (exercise, side); only for use inside one prediction.

    `recovery`: every second of rest counts that many times.
    """

    def __init__(self, recovery: float = 1.0) -> None:
        self._recovery = recovery
        self._lost: dict[tuple[str, str], list[float]] = {}
        self._muscles: dict[str, Muscles] = {}
        self._shared: dict[tuple[str, str], float] = {}

    def _share(self, exercise: str, muscles: Muscles, other: str) -> float:
        if exercise == other:
            return 1.0
        found = self._shared.get((exercise, other))
        if found is None:
            found = self._shared[exercise, other] = overlap(muscles, self._muscles[other])
        return found

    def strength(self, exercise: str, side: str, muscles: Muscles) -> float:
        """Strength left of an exercise on a side, 0.05 to 1 of its fresh 1RM."""
        lost = 0.0
        for (other, other_side), (fast, slow) in self._lost.items():
            if side != other_side and "b" not in (side, other_side):
                continue  # left and right do not tire each other
            lost += self._share(exercise, muscles, other) * (fast + slow)
        return min(1.0, max(LEAST, 1 - lost))

    def deposit(self, exercise: str, side: str, muscles: Muscles, fast: float, slow: float) -> None:
        """Book what a step cost to the exercise's own ledger."""
        self._muscles[exercise] = muscles
        kept = self._lost.setdefault((exercise, side), [0.0, 0.0])
        kept[0] += fast
        kept[1] += slow

    def work(self, exercise: str, side: str, muscles: Muscles, seconds: float) -> None:
        """Let a step's working time be rest for what it does not use: other muscles, the other side."""
        if seconds <= 0:
            return
        self._muscles[exercise] = muscles
        for (other, other_side), kept in self._lost.items():
            apart = side != other_side and "b" not in (side, other_side)
            idle = 1.0 if apart else 1.0 - self._share(other, self._muscles[other], exercise)
            if idle > 0:
                self._recover(kept, seconds * idle)

    def rest(self, seconds: float) -> None:
        """Let every ledger recover for `seconds`."""
        if seconds > 0:
            for kept in self._lost.values():
                self._recover(kept, seconds)

    def rest_one(self, exercise: str, side: str, seconds: float) -> None:
        """Let one ledger recover: of an exercise done one limb after the other, each rests half of the work."""
        kept = self._lost.get((exercise, side))
        if kept and seconds > 0:
            self._recover(kept, seconds)

    def _recover(self, kept: list[float], seconds: float) -> None:
        time = seconds * self._recovery
        kept[0] *= math.exp(-time / TAU_FAST)
        kept[1] *= math.exp(-time / TAU_SLOW)
