"""Strength left of several exercises on one clock: each keeps its own losses, shared through muscles."""

from __future__ import annotations

import math
from functools import lru_cache

from .strength_left import LEAST, TAU_FAST, TAU_SLOW

Muscles = tuple[tuple[str, float], ...]


@lru_cache(maxsize=8192)
def overlap(one: Muscles, other: Muscles) -> float:
    """How far work on one exercise tires another: the largest product of shares of a common muscle."""
    shares = dict(other)
    return max((share * shares.get(code, 0.0) for code, share in one), default=0.0)


class Ledgers:
    """Fast and slow losses per (exercise, side); only for use inside one prediction."""

    def __init__(self) -> None:
        self._lost: dict[tuple[str, str], list[float]] = {}
        self._muscles: dict[str, Muscles] = {}

    def strength(self, exercise: str, side: str, muscles: Muscles) -> float:
        """Strength left of an exercise on a side, 0.05 to 1 of its fresh 1RM."""
        lost = 0.0
        for (other, other_side), (fast, slow) in self._lost.items():
            if side != other_side and "b" not in (side, other_side):
                continue  # left and right do not tire each other
            share = 1.0 if other == exercise else overlap(muscles, self._muscles[other])
            lost += share * (fast + slow)
        return min(1.0, max(LEAST, 1 - lost))

    def deposit(self, exercise: str, side: str, muscles: Muscles, fast: float, slow: float) -> None:
        """Book what a step cost to the exercise's own ledger."""
        self._muscles[exercise] = muscles
        kept = self._lost.setdefault((exercise, side), [0.0, 0.0])
        kept[0] += fast
        kept[1] += slow

    def rest(self, seconds: float) -> None:
        """Let every ledger recover for `seconds`."""
        if seconds <= 0:
            return
        fast, slow = math.exp(-seconds / TAU_FAST), math.exp(-seconds / TAU_SLOW)
        for kept in self._lost.values():
            kept[0] *= fast
            kept[1] *= slow
