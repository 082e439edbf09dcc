"""Progression on equipment without units: which place comes next, from how the last time went."""

from __future__ import annotations

from .errors import EngineError, instance, whole
from .plans import PlaceDone
from .rules import DEFAULT, Rules


def next_place(done: PlaceDone, goal: tuple[int, int], places: int, rules: Rules = DEFAULT) -> tuple[int, str]:
    """(0-based place, why: 'place_up', 'place_stays' or 'place_down') for sets of `goal` (low, high) reps.

    Up when every set reached the top with the reserve asked for; where low and high are one number, when the reserve
    was more than asked for by what counts as missing it (2). Down when a set stayed below the bottom, or the reserve
    was missed by that much. One place at a time, and the last time's place otherwise. Common practice, no source.
    """
    instance("last place", done, PlaceDone)
    instance("rules", rules, Rules)
    low, high = goal if isinstance(goal, (list, tuple)) and len(goal) == 2 else (None, None)
    whole("lower end of the range", low, 0, 1000)
    whole("upper end of the range", high, low or 0, 1000)
    if isinstance(places, bool) or not isinstance(places, int) or places < 1:
        raise EngineError("number of places", places, "a whole number from 1")
    here, over = min(done.place, places - 1), _over(done)
    fewest = min(done.reps)
    if fewest < (low or 0) or (over is not None and over <= -rules.rir_missed):
        return (here - 1, "place_down") if here else (here, "place_stays")
    if low == high:
        rises = over is not None and over >= rules.rir_missed
    else:
        rises = fewest >= (high or 0) and (over is None or over >= 0)
    return (here + 1, "place_up") if rises and here + 1 < places else (here, "place_stays")


def _over(done: PlaceDone) -> float | None:
    """Reps in reserve beyond what was asked for; None when either is not known."""
    return None if done.rir is None or done.planned_rir is None else done.rir - done.planned_rir
