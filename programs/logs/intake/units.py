"""Whose loads look like pounds typed for kilograms, or the other way: asked about, never guessed.

Every load is held against what the client's estimate says they can lift for so many reps. Where the middle one of a
client's ratios is near 2.2 or near its inverse, the file is asked about for this client.
"""

from collections.abc import Iterable, Iterator
from math import sqrt
from statistics import median
from typing import TYPE_CHECKING

from clients.models import Client
from coachdesk import engine
from programs.models import StrengthEstimate

if TYPE_CHECKING:
    from programs.logs.intake.cells import Numbers
    from programs.logs.intake.plan import Line

LB_PER_KG = 1 / 0.45359237
# Half-way, as ratios go, between right and wrong by 2.2, and as far beyond: common practice, no source.
LOW, HIGH = sqrt(LB_PER_KG), LB_PER_KG * sqrt(LB_PER_KG)
# Where no RIR was typed; ordinary work ends a little short of failure: common practice, no source.
USUAL_RIR = 2.0
MOST_REPS = 15

Best = dict[tuple[int, int], tuple[float, float | None]]
Doubt = tuple[Client, str, str, float, int]


def doubts(lines: "Iterable[Line]") -> Iterator[Doubt]:
    """(client, unit as written, the other, the middle ratio, how many loads) for whom the question is to be asked."""
    by_client: dict[int, list[Line]] = {}
    for line in lines:
        if _says_something(line.numbers):
            by_client.setdefault(line.client.pk, []).append(line)
    best: Best = {}
    rows = StrengthEstimate.objects.filter(client__in=by_client).order_by("mean_kg")
    for one in rows:
        best[one.client_id, one.exercise_id] = (one.mean_kg, one.endurance)
    for mine in by_client.values():
        ratios = [ratio for line in mine if (ratio := _ratio(line, best)) is not None]
        if ratios:
            middle = median(ratios)
            unit = mine[0].numbers.unit
            if unit == "kg" and LOW < middle < HIGH:
                yield mine[0].client, "kg", "lb", middle, len(ratios)
            elif unit == "lb" and LOW < 1 / middle < HIGH:
                yield mine[0].client, "lb", "kg", middle, len(ratios)


def _says_something(one: "Numbers") -> bool:
    return bool(one.load and one.load > 0 and 0 < one.reps <= MOST_REPS and one.step_no == 1)


def _ratio(line: "Line", best: Best) -> float | None:
    known = best.get((line.client.pk, line.exercise.pk))
    if known is None or line.exercise.rep_kind != "reps" or line.exercise.body_share:
        return None
    maximum, endurance = known[0], known[1] or line.exercise.endurance
    rir = USUAL_RIR if line.numbers.rir is None else line.numbers.rir
    expected = maximum * engine.fraction_for_reps(
        line.numbers.reps + rir, endurance=endurance or line.exercise.endurance
    )
    return engine.to_kg(line.numbers.load or 0, line.numbers.unit) / expected
