"""Which weeks the trends page looks at."""

from dataclasses import dataclass
from datetime import date, timedelta

from programs.logs.week_sums import monday_of

SPANS = (12, 26, 52, 156)
EARLIEST = date(1990, 1, 1)


@dataclass(frozen=True)
class Window:
    """So many whole weeks, oldest first; the last is that of today unless an earlier one was asked for."""

    mondays: tuple[date, ...]
    today: date

    @property
    def weeks(self) -> int:
        return len(self.mondays)

    @property
    def first(self) -> date:
        return self.mondays[0]

    @property
    def last(self) -> date:
        """The Sunday of its last week."""
        return self.mondays[-1] + timedelta(days=6)

    @property
    def is_now(self) -> bool:
        return self.first <= self.today <= self.last

    @property
    def earlier(self) -> date | None:
        """The last Monday of the window before it; None where nobody can have trained."""
        before = self.first - timedelta(weeks=1)
        return before if before > EARLIEST else None

    @property
    def later(self) -> date | None:
        """The last Monday of the window after it; None at today."""
        return None if self.is_now else min(monday_of(self.today), self.mondays[-1] + timedelta(weeks=self.weeks))


def window_of(today: date, weeks: str = "", until: str = "") -> Window:
    """From what stands in an address; anything that is no span or day of the past is taken as 12 weeks, and today."""
    span = next((one for one in SPANS if str(one) == weeks), SPANS[0])
    last = monday_of(min(today, _day(until) or today))
    return Window(tuple(last - timedelta(weeks=n) for n in reversed(range(span))), today)


def _day(text: str) -> date | None:
    try:
        found = date.fromisoformat(text[:10])
    except ValueError:
        return None
    return found if found > EARLIEST else None
