"""Habit: the sets per muscle a client is used to, from completed weeks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median

from .errors import EngineError, instance, number, whole
from .muscles import muscle
from .rules import DEFAULT, Rules

LOOK_BACK = 6
MOST_WEEKS, LEAST_WEEKS = 4, 2
WeekSets = Mapping[str, float]


@dataclass(frozen=True)
class Habit:
    """Median weekly fractional sets per muscle over `weeks` completed weeks."""

    weeks: int
    sets: tuple[tuple[str, float], ...]

    def of(self, code: str) -> float:
        """Sets a week of a muscle; 0 for one that was not trained."""
        return dict(self.sets).get(muscle(code).code, 0.0)

    @property
    def total(self) -> float:
        """Over all muscles."""
        return sum(sets for _, sets in self.sets)


def habit(done: Mapping[int, WeekSets], before: int, rules: Rules = DEFAULT) -> Habit | None:
    """The habit before a week: the median of the last two to four of the six weeks before it.

    `done`: fractional sets per muscle by week number; a week left out had none. Weeks with 70 % or less of the
    usual total are left out, which holds for holidays, illness and lighter weeks. None below two such weeks.
    Window and medians: common practice, no source.
    """
    if not isinstance(done, Mapping):
        raise EngineError("done weeks", done, "a mapping of week numbers to sets per muscle")
    whole("week number", before, -1_000_000, 1_000_000)
    instance("rules", rules, Rules)
    for week_no, sets in done.items():
        whole("week number", week_no, -1_000_000, 1_000_000)
        if not isinstance(sets, Mapping):
            raise EngineError("sets per muscle", sets, "a mapping of muscle codes to sets")
        for code, count in sets.items():
            number(f"sets of {muscle(code).name}", count, 0, 1000)
    return habit_of(done, before, rules)


def habit_of(done: Mapping[int, WeekSets], before: int, rules: Rules) -> Habit | None:
    """As `habit`, for already checked weeks."""
    window = [week for week in range(before - LOOK_BACK, before) if done.get(week)]
    totals = {week: sum(done[week].values()) for week in window}
    usual = median([total for total in totals.values() if total > 0] or [0.0])
    kept = [week for week in window if totals[week] > rules.habit_lighter * usual][-MOST_WEEKS:]
    if len(kept) < LEAST_WEEKS:
        return None
    codes = dict.fromkeys(code for week in kept for code in done[week])
    return Habit(len(kept), tuple((code, median(done[week].get(code, 0.0) for week in kept)) for code in codes))
