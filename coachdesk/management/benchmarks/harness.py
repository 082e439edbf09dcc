"""Timing side by side: warm-up, rounds in which every benchmark takes its turn, medians, and ratios to the floor."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil
from statistics import median
from time import perf_counter

from django.db import connection
from django.test.utils import CaptureQueriesContext

from coachdesk.management.benchmarks.stage import Stage

WARM_UP = 5
Step = Callable[[], None]


@dataclass(frozen=True)
class Benchmark:
    """`make(stage, times)` prepares everything outside the clock and gives the step to time, good for `times` calls.

    The step raises when its answer is not what it should be: a quick error must not pass for a quick page.
    `apart`: it upsets what others keep in memory, so it gets rounds of its own, beside the floor.
    """

    name: str
    what: str
    make: Callable[[Stage, int], Step]
    apart: bool = False


@dataclass(frozen=True)
class Measured:
    """Median and p95 in `unit`, SQL queries of one call, and the floor's median that `ratio` compares with."""

    name: str
    what: str
    value: float
    p95: float
    queries: int
    reference: float
    unit: str = "ms"

    @property
    def ratio(self) -> float:
        return self.value / self.reference


def measure(stage: Stage, benchmarks: Sequence[Benchmark], floor: Benchmark, rounds: int) -> list[Measured]:
    """Median and p95 of each, in the order given; what may run together takes turns in the same rounds."""
    together = [one for one in benchmarks if not one.apart]
    groups = [together, *([one] for one in benchmarks if one.apart)]
    found = {one.name: one for group in groups if group for one in _side_by_side(stage, group, floor, rounds)}
    return [found[one.name] for one in benchmarks]


def _side_by_side(stage: Stage, group: Sequence[Benchmark], floor: Benchmark, rounds: int) -> list[Measured]:
    """Each benchmark once in every round, the floor among them, so that a busy machine slows all alike."""
    steps = {one: one.make(stage, WARM_UP + rounds + 1) for one in dict.fromkeys([floor, *group])}
    times: dict[Benchmark, list[float]] = {one: [] for one in steps}
    for number in range(WARM_UP + rounds):
        for one, step in steps.items():
            took = _timed(step)
            if number >= WARM_UP:
                times[one].append(took)
    reference = median(times[floor])
    return [
        Measured(one.name, one.what, median(times[one]), p95(times[one]), _queries(steps[one]), reference)
        for one in group
    ]


def p95(values: Sequence[float]) -> float:
    """The value that 95 % of them do not exceed (nearest rank)."""
    return sorted(values)[ceil(0.95 * len(values)) - 1]


def _timed(step: Step) -> float:
    began = perf_counter()
    step()
    return 1000 * (perf_counter() - began)


def _queries(step: Step) -> int:
    with CaptureQueriesContext(connection) as caught:
        step()
    return len(caught)
