"""Each muscle's sets a week over a block, planned and done against the band."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from programs.figures import week_table
from programs.logs.selectors.trends import MuscleTrend, WeekPoint


@dataclass(frozen=True)
class MuscleMean:
    """Fractional sets a week of one muscle over `weeks` weeks: done, planned, and in how many it was outside."""

    trend: MuscleTrend
    done: float
    planned: float
    below: int
    above: int
    weeks: int

    @property
    def words(self) -> str:
        """'inside the band', or in how many weeks it was not, by the counts that speak for it.

        'perhaps above': by the usual count of sets, not by the low one that has to say so too.
        """
        if self.trend.band is None:
            return "no band: your coach decides"
        parts = [f"{where} in {n}" for n, where in ((self.below, "below"), (self.above, "above")) if n]
        if not parts:
            low, high = self.trend.band
            where = "above" if self.done > high else "below" if self.done < low else ""
            return f"perhaps {where} the band" if where else "inside the band"
        if self.weeks == 1:
            return f"{'below' if self.below else 'above'} the band"
        return f"{', '.join(parts)} of {self.weeks} weeks"


def muscle_means(muscles: Sequence[MuscleTrend], today: date) -> tuple[tuple[MuscleMean, ...], int]:
    """Means over the weeks that are over, or over those begun while none is; and how many weeks that are."""
    made, weeks = [], 0
    for one in muscles:
        points = counted(one.points, today)
        weeks = len(points)
        if not points:
            continue
        where = [week_table.outside(week_table.Sets(p.done, p.low, p.high), one.band) for p in points]
        done, planned = sum(p.done for p in points), sum(p.planned or 0.0 for p in points)
        made.append(MuscleMean(one, done / weeks, planned / weeks, where.count("below"), where.count("above"), weeks))
    return tuple(made), weeks


def counted(points: Sequence[WeekPoint], today: date) -> list[WeekPoint]:
    """The weeks that are over; those begun while none is."""
    over = [point for point in points if point.monday + timedelta(days=6) < today]
    return over or [point for point in points if point.monday <= today]
