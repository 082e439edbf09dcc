"""Prescribing a thousand clients by column beside a bare pass over the same arrays, and one client as objects."""

import sys
import tracemalloc
from collections.abc import Callable
from statistics import median
from time import perf_counter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coachdesk import engine
from coachdesk.engine.columns import prescribe_columns
from coachdesk.engine.columns_of import roster_of
from coachdesk.engine.columns_plan import Roster, Table
from coachdesk.engine.equations import CHART
from coachdesk.management.benchmarks.harness import Measured, p95
from coachdesk.management.benchmarks.thousand import make_roster, template_of

WARM_UP = 2
MEGABYTE = 1e6
Array = NDArray[Any]


def measure_prescribe(rounds: int) -> list[Measured]:
    """Milliseconds, steps a second and peak memory of the columns; one client's twelve weeks, warm and cold."""
    roster = make_roster()
    whole, bare = _beside(lambda: prescribe_columns(roster), bare_pass(roster), rounds)
    steps, what = int(roster.steps.there.sum()), "a thousand clients' twelve weeks by column; x a bare numpy pass"
    rate, bare_rate = steps / median(whole) / 1000, steps / median(bare) / 1000
    return [
        Measured("prescribe", f"{steps:,} steps: {what}", median(whole), p95(whole), 0, median(bare)),
        Measured(
            "prescribe_rate", "of the same, per second", rate, steps / p95(whole) / 1000, 0, bare_rate, "M steps/s"
        ),
        _memory(roster),
        *_one_client(rounds),
    ]


def bare_pass(roster: Roster) -> Callable[[], float]:
    """Multiply, round to an increment, interpolate, sum: what numpy needs at least for loads and reps of every step."""
    steps = roster.steps
    maximum = np.take_along_axis(roster.rows.mean, steps.slot.astype(np.intp), axis=0)
    share = np.where(np.isfinite(steps.ask) & (steps.ask > 0), steps.ask, 0.7)
    increment = np.full(share.shape, 2500.0)
    fractions, reps = (np.array(column) for column in zip(*((f, r) for r, f in reversed(CHART)), strict=True))

    def once() -> float:
        loads = np.rint(share * maximum / increment) * increment
        return float((loads * np.interp(loads / maximum, fractions, reps)).sum())

    return once


def _beside(one: Callable[[], object], other: Callable[[], object], rounds: int) -> tuple[list[float], list[float]]:
    """Milliseconds of both, in turns, so that a busy machine slows both alike."""
    times: tuple[list[float], list[float]] = ([], [])
    for number in range(WARM_UP + rounds):
        for step, took in zip((one, other), times, strict=True):
            began = perf_counter()
            step()
            if number >= WARM_UP:
                took.append(1000 * (perf_counter() - began))
    return times


def _memory(roster: Roster) -> Measured:
    """Most that was held at once beyond the plan itself; the plan's own size is what it is compared with."""
    tables: tuple[Table, ...] = (roster.visits, roster.rows, roster.ledgers, roster.steps)
    plan = sum(column.nbytes for table in tables for column in vars(table).values())
    tracemalloc.start()
    try:
        prescribe_columns(roster)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    what = "most memory held beside the plan, whose own size is the floor"
    return Measured("prescribe_memory", what, peak / MEGABYTE, peak / MEGABYTE, 0, plan / MEGABYTE, "MB")


def _one_client(rounds: int) -> list[Measured]:
    """Objects with reasons, flags and remedies: again with nothing changed, and with nothing kept in memory."""
    sessions, client = template_of(1)
    alone, caches = roster_of([(sessions, client)]), engine_caches()

    def objects() -> object:
        return engine.prescribe_weeks(sessions, client)

    def cold() -> object:
        for cache in caches:
            cache.cache_clear()
        return objects()

    made = []
    for name, step, what in (
        ("client_cold", cold, "nothing kept"), ("client_warm", objects, "nothing changed"),
    ):  # fmt: skip
        took, columns = _beside(step, lambda: prescribe_columns(alone), rounds)
        words = f"one client's twelve weeks as objects, {what}; x the same by column"
        made.append(Measured(name, words, median(took), p95(took), 0, median(columns)))
    return made


def engine_caches() -> list[Any]:
    """Everything that the engine keeps in memory between two calls."""
    modules = [module for name, module in sys.modules.items() if name.startswith("coachdesk.engine")]
    return [value for module in modules for value in vars(module).values() if hasattr(value, "cache_clear")]
