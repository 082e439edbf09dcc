"""Sharing one volume load over several exercises."""

from __future__ import annotations

from collections.abc import Sequence

from .errors import EngineError, items, number, whole
from .scheme import MOST_TARGET


def split_quota(target: int, shares: Sequence[float]) -> tuple[int, ...]:
    """A volume load in whole units split by shares (such as 0.7 and 0.3; they are scaled to 1); sums to `target`.

    70 % to the compound lift and 30 % to the isolation lift is common practice, no source.
    """
    whole("target", target, 1, MOST_TARGET)
    given = [number("share", share, 0, 1_000_000) for share in items("shares", shares, empty=False, most=40)]
    total = sum(given)
    if total <= 0:
        raise EngineError("shares", tuple(given), "above 0 in all")
    exact = [target * share / total for share in given]
    made = [int(part) for part in exact]
    # the units lost by rounding down go to the largest remainders
    order = sorted(range(len(made)), key=lambda i: (made[i] - exact[i], i))
    for i in order[: target - sum(made)]:
        made[i] += 1
    return tuple(made)
