"""The published rows the strength-left model is fitted to and tried on, read from `data/`."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from .curves import fraction_for_reps

DATA = Path(__file__).parent / "data"
FITTED_DECLINES = ("R01", "R03", "R04", "R05", "R09")
# an endurance is assumed where a first set at a percentage gave more reps than the chart: 10.8 at 80 %
ENDURANCE = {"R05": 1.4}
CAP = 10


@dataclass(frozen=True)
class Condition:
    """Sets to failure at one load with one rest; `seen` are shares of the first set, or one share of a full total.

    `fraction` of 1RM; `cap`: reps at which a set was stopped (0: none); `fitted`: whether s0 is fitted to it.
    """

    name: str
    fraction: float
    endurance: float
    rest_s: float
    sets: int
    cap: int
    seen: tuple[float, ...]
    fitted: bool
    source: str

    @property
    def is_total(self) -> bool:
        """Whether only the sum over the sets was published."""
        return len(self.seen) == 1 and self.sets > 2


def read(name: str) -> list[dict[str, str]]:
    """All rows of a file in `data/`; each names its source."""
    with (DATA / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def _fraction(load: str, endurance: float) -> float:
    if load.endswith("RM") and "%" not in load:
        return fraction_for_reps(float(load[:-2]), endurance=endurance)
    return float(load.split("%")[0]) / 100


def _declines() -> Iterator[Condition]:
    rows = read("set_rep_decline")
    for row_id in FITTED_DECLINES:
        own = [row for row in rows if row["row_id"] == row_id]
        first, endurance = own[0], ENDURANCE.get(row_id, 1.0)
        reps = [float(row["mean_reps"]) for row in own]
        yield Condition(
            f"{row_id} {first['exercise']} {first['load']}, {first['rest_s']} s",
            _fraction(first["load"], endurance),
            endurance,
            float(first["rest_s"]),
            len(own),
            0,
            tuple(n / reps[0] for n in reps[1:]),
            True,
            first["source"],
        )


def _totals() -> Iterator[Condition]:
    for row in read("set_total_reps_rest"):
        sets, uncapped = int(row["sets"].split()[0]), row["note"] == "total to failure"
        exercises = 3 if "per exercise" in row["sets"] else 1
        fraction = _fraction(row["load"], 1.0)
        # an uncapped total is shown as a share of so many reps too, to be on the same scale
        full = sets * CAP * exercises
        yield Condition(
            f"{row['exercise']}, {row['population']}, {row['load']}, {row['rest_s']} s ({row['source'].split()[0]})",
            fraction,
            1.0,
            float(row["rest_s"]),
            sets,
            0 if uncapped else CAP,
            (float(row["total_reps_mean"]) / full,),
            row["population"] == "men" and row["load"] == "10RM",
            row["source"],
        )


@lru_cache(maxsize=1)
def conditions() -> tuple[Condition, ...]:
    """Every condition: first those fitted to, then those only tried."""
    every = [*_declines(), *_totals()]
    return tuple(sorted(every, key=lambda one: not one.fitted))


def fitted() -> tuple[Condition, ...]:
    """The conditions s0 is fitted to: adults, one exercise, rests of 1 to 3 minutes."""
    return tuple(one for one in conditions() if one.fitted)


def losses_after_stopping() -> dict[str, float]:
    """Velocity lost 4 minutes after six sets at 75 % of 1RM, as shares of that after failure."""
    rows = {row["protocol"]: -float(row["value"]) for row in read("recovery_time_course")}
    return {name: value / rows["failure"] for name, value in rows.items()}
