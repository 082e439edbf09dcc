"""Judges the strength estimate on simulated lifters: python -m coachdesk.engine.coverage [--lifters N] [--case X]."""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from .curves import one_rep_max
from .equations import EQUATION_NAMES
from .learn import prior_from_log
from .simulate import CASES, Case, Lifter, simulate_lifter
from .strength import estimate_strength
from .strength_values import Strength

TARGET = (0.85, 0.95)
_LAST_SETS = 9


@dataclass(frozen=True)
class Row:
    """One case: share of 90 % intervals that hold the truth, truths below and above, half-width and error in %."""

    case: Case
    lifters: int
    coverage: float
    below: float
    above: float
    half_width: float
    rms: float
    bias: float

    @property
    def holds(self) -> bool:
        """Whether the share lies within 85 to 95 %."""
        return TARGET[0] <= self.coverage <= TARGET[1]


@dataclass(frozen=True)
class Errors:
    """RMS error and bias in % of one way to a 1RM."""

    name: str
    rms: float
    bias: float


def lifters_of(case: Case, count: int, seed: int) -> list[Lifter]:
    """The simulated lifters of a case; the same for the same seed."""
    return [simulate_lifter(Random(f"{seed}:{case.name}:{n}"), case) for n in range(count)]


def _known(one: Lifter) -> Strength | None:
    """The desk's own way: what the log says of the RIR answers first, then the estimate on the day of the last set."""
    return estimate_strength(one.observations, one.as_of, prior=prior_from_log(one.observations))


def estimates_of(lifters: Sequence[Lifter]) -> list[Strength | None]:
    """The estimate of each on the day of the last set, knowing only the log."""
    return [_known(one) for one in lifters]


def covered(case: Case, lifters: Sequence[Lifter], estimates: Sequence[Strength | None]) -> Row:
    """How the filter does on these lifters, by its estimate of each."""
    inside = below = above = 0
    errors, widths = [], []
    for one, found in zip(lifters, estimates, strict=True):
        if found is None:
            continue
        below += one.true_kg < found.low_kg
        above += one.true_kg > found.high_kg
        inside += found.low_kg <= one.true_kg <= found.high_kg
        errors.append(math.log(found.mean_kg / one.true_kg))
        widths.append(math.log(found.high_kg / found.low_kg) / 2)
    n = len(errors)
    rms, bias = _error(errors)
    return Row(case, n, inside / n, below / n, above / n, 100 * sum(widths) / n, rms, bias)


def errors_of(lifters: Sequence[Lifter], estimates: Sequence[Strength | None]) -> list[Errors]:
    """The filter and the seven equations on the same logs.

    An equation is given typed RIR as reps not done and fresh strength (load over predicted strength left), and the
    mean of its last nine sets whose effort is known: better treatment than one set on its own.
    """
    filtered = []
    by_equation: dict[str, list[float]] = {name: [] for name in EQUATION_NAMES}
    for one, found in zip(lifters, estimates, strict=True):
        known = [o for o in one.observations if not o.lower_bound][-_LAST_SETS:]
        if found is None or not known:
            continue
        filtered.append(math.log(found.mean_kg / one.true_kg))
        for name, errors in by_equation.items():
            maxima = [one_rep_max(o.load_kg / o.strength_before, o.reps, rir=o.rir or 0, equation=name) for o in known]
            errors.append(math.log(sum(maxima) / len(maxima) / one.true_kg))
    rows = [Errors("filter", *_error(filtered))]
    return rows + [Errors(name, *_error(errors)) for name, errors in by_equation.items()]


def _error(errors: Sequence[float]) -> tuple[float, float]:
    n = len(errors)
    return 100 * math.sqrt(sum(e * e for e in errors) / n), 100 * sum(errors) / n


def coverage_table(rows: Sequence[Row]) -> str:
    """The rows as a Markdown table."""
    lines = ["| lifters | n | covered % | truth below % | above % | half-width % | RMS error % | bias % | |"]
    lines.append("|---|---|---|---|---|---|---|---|---|")
    for r in rows:
        share = f"{100 * r.coverage:.1f} | {100 * r.below:.1f} | {100 * r.above:.1f}"
        mark = "" if r.holds else ("wide" if r.coverage > TARGET[1] else "misses")
        numbers = f"{r.half_width:.1f} | {r.rms:.1f} | {r.bias:+.1f}"
        lines.append(f"| {r.case.words} | {r.lifters} | {share} | {numbers} | {mark} |")
    return "\n".join(lines)


def error_table(found: dict[str, list[Errors]]) -> str:
    """RMS error and bias in %, one row a case and one column a way to a 1RM, as a Markdown table."""
    ways = [error.name for error in next(iter(found.values()))]
    lines = ["| lifters: RMS error, bias % | " + " | ".join(ways) + " |"]
    lines.append("|---|" + "---|" * len(ways))
    for words, errors in found.items():
        lines.append(f"| {words} | " + " | ".join(f"{e.rms:.1f}, {e.bias:+.1f}" for e in errors) + " |")
    return "\n".join(lines)


def main(argv: Sequence[str] | None = None) -> None:
    """Print both tables."""
    names = [case.name for case in CASES]
    parser = argparse.ArgumentParser(prog="python -m coachdesk.engine.coverage", description=__doc__)
    parser.add_argument("--lifters", type=int, default=2400, help="simulated lifters of each case")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--case", action="append", choices=names, metavar="NAME", help=f"only: {', '.join(names)}")
    given = parser.parse_args(argv)
    if given.lifters < 1:
        parser.error(f"--lifters is {given.lifters}; it should be 1 or more")
    rows, errors = [], {}
    for case in CASES:
        if given.case and case.name not in given.case:
            continue
        lifters = lifters_of(case, given.lifters, given.seed)
        estimates = estimates_of(lifters)
        rows.append(covered(case, lifters, estimates))
        errors[case.words] = errors_of(lifters, estimates)
    print(coverage_table(rows))
    print()
    print(error_table(errors))


if __name__ == "__main__":
    main()
