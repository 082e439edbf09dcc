"""Repetitions in reserve and the RPE scale built on them."""

from __future__ import annotations

from .errors import number

# Zourdos MC et al 2016 JSCR 30(1):267-275; Helms ER et al 2016 Strength Cond J 38(4):42-49.
# Rows below 10 are from memory; ratings 5 and 6 share one band of 4 to 6 in reserve.
RPE_RIR: tuple[tuple[float, float, float], ...] = (
    (10, 0, 0), (9.5, 0, 0), (9, 1, 1), (8.5, 1, 2), (8, 2, 2), (7.5, 2, 3), (7, 3, 3), (6, 4, 6), (5, 4, 6),
)  # fmt: skip


def rir_for_rpe(rpe: float) -> tuple[float, float]:
    """(low, high) repetitions in reserve for a rating of 5 to 10 in halves; 5.5 and 6.5 lie between rows."""
    rating = number("RPE", rpe, 5, 10)
    at_least = [row for row in RPE_RIR if row[0] >= rating][-1]
    at_most = next(row for row in RPE_RIR if row[0] <= rating)
    if at_least[0] == at_most[0]:
        return (at_most[1], at_most[2])
    return (min(at_least[1], at_most[1]), max(at_least[2], at_most[2]))


def rpe_for_rir(rir: float) -> float:
    """The rating for 0 to 6 in reserve: 10 at none, 8.5 at 1.5; in the shared band 6 up to five, then 5."""
    reserve = number("RIR", rir, 0, 6)
    if reserve <= 3:
        return 10 - reserve
    return 6.0 if reserve <= 5 else 5.0
