"""One day of a log kept in mind: what later sets say of the strength that was there then."""

from __future__ import annotations

from collections.abc import Sequence


class Mark:
    """The state of a filter at the end of a day, corrected by every set that comes after it.

    A fixed-point smoother (Anderson BDO, Moore JB 1979, Optimal Filtering, chapter 7): `x` is log 1RM that day in
    each cell, `var` its doubt; `with_x`, `with_trend` and `with_day` what it has in common with the state as it stands
    now. So a first estimate that later sets show to be wrong is not taken for strength that was lost.
    """

    def __init__(self, x: Sequence[float], cov: Sequence[float], lean: float) -> None:
        self.x, self.lean = list(x), lean
        self.with_x, self.with_trend, self.with_day = cov[0], cov[1], cov[3]
        self.var = cov[0]

    def passes(self, reach: float, fade: float) -> None:
        """Time goes on; a new day has its own effect."""
        self.with_x += reach * self.with_trend
        self.with_trend *= fade
        self.with_day = 0.0

    def sees(self, cut: Sequence[float], total: float) -> None:
        """A set moves it as far as it has the set's surprise in common."""
        gain = (self.with_x + self.with_day) / total
        self.x = [a + gain * c for a, c in zip(self.x, cut, strict=True)]

    def settles(self, common: Sequence[float], total: float, lean: float) -> None:
        """The doubt after a set; `common`: what x, trend and day have in common with what the set measures."""
        mine = self.with_x + self.with_day
        self.lean += mine / total * lean
        self.with_x -= mine * common[0] / total
        self.with_trend -= mine * common[1] / total
        self.with_day -= mine * common[2] / total
        self.var -= mine * mine / total
