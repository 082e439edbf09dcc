"""The fit of strength left to published sets, reproducible by anyone: `python -m coachdesk.engine.fit`."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from .constants import value
from .errors import instance, number
from .fit_rows import CAP, Condition, conditions, fitted, losses_after_stopping
from .strength_left import TAU_FAST, TAU_SLOW, Step, model_for, run_steps

A, B = value("slow_a"), value("slow_b")
LADDER = (1.0, 0.70, 0.55, 0.50, 0.45)
FAST_RANGE, SLOW_RANGE = (30.0, 45.0, 60.0, 82.0), (300.0, 600.0, 1800.0, 3600.0)
_BISECTIONS = 40
_GOLDEN = (math.sqrt(5) - 1) / 2


@dataclass(frozen=True)
class Settings:
    """What the model is run with: slow share s0 with a and b, time constants in s."""

    s0: float
    a: float = A
    b: float = B
    tau_fast: float = TAU_FAST
    tau_slow: float = TAU_SLOW


Reps = Callable[[Condition], Sequence[float]]


def model_reps(settings: Settings) -> Reps:
    """Reps of each set of a condition by the model."""

    def reps(one: Condition) -> list[float]:
        model = model_for("handbook", one.endurance, settings.s0, settings.a, settings.b)
        steps = [Step(one.fraction, None, one.rest_s)] * one.sets
        return [made.reps for made in run_steps(model, steps, settings.tau_fast, settings.tau_slow)]

    return reps


def same_reps(one: Condition) -> list[float]:
    """Baseline: every set as long as the first."""
    return [float(CAP)] * one.sets


def ladder_reps(one: Condition) -> list[float]:
    """Baseline: a fixed ladder that ignores rest."""
    return [CAP * share for share in LADDER[: one.sets]]


def errors(one: Condition, reps: Reps) -> list[float]:
    """Predicted less seen: shares of the first set's reps, or of sets x 10 reps for a total."""
    made = reps(one)
    if not one.is_total:
        return [n / made[0] - seen for n, seen in zip(made[1:], one.seen, strict=True)]
    total = sum(min(n, one.cap) if one.cap else n for n in made)
    return [total / (CAP * one.sets) - one.seen[0]]


def rms(rows: Sequence[Condition], reps: Reps) -> float:
    """Root mean square of all errors, one number weighing like another."""
    found = [error for one in rows for error in errors(one, reps)]
    return math.sqrt(sum(error * error for error in found) / len(found))


def best_s0(
    rows: Sequence[Condition], *, a: float = A, b: float = B, tau_fast: float = TAU_FAST, tau_slow: float = TAU_SLOW
) -> float:
    """The s0 in 0.005 to 0.6 with the smallest RMS on `rows` (golden section; one minimum)."""
    for row in rows:
        instance("row", row, Condition)
    number("time constant", tau_fast, 1, 10_000)
    number("time constant", tau_slow, 1, 100_000)

    def miss(s0: float) -> float:
        return rms(rows, model_reps(Settings(round(s0, 6), a, b, tau_fast, tau_slow)))

    low, high = 0.005, 0.6
    for _ in range(_BISECTIONS):
        left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        low, high = (low, right) if miss(left) < miss(right) else (left, high)
        if high - low < 1e-4:
            break
    return round((low + high) / 2, 4)


def losses(settings: Settings) -> dict[str, float]:
    """Strength lost 4 minutes after six sets at 75 % as a share of that after failure; 2 min rests are assumed."""
    model = model_for("handbook", 1.0, settings.s0, settings.a, settings.b)

    def run(steps: list[Step]) -> float:
        return 1 - run_steps(model, [*steps, Step(0.75, 1)], settings.tau_fast, settings.tau_slow)[-1].strength_before

    lost = {}
    for name, rir in (("failure", 0.0), ("1 RIR", 1.0), ("3 RIR", 3.0)):
        steps: list[Step] = []
        for n in range(6):
            left = run_steps(model, [*steps, Step(0.75)], settings.tau_fast, settings.tau_slow)[-1].reps
            steps.append(Step(0.75, max(left - rir, 1e-6), 240 if n == 5 else 120))
        lost[name] = run(steps)
    return {name: one / lost["failure"] for name, one in lost.items()}


@dataclass(frozen=True)
class FitReport:
    """What the fit found; `profile` rows are (tau_fast, tau_slow, best s0, RMS), `rows` (name, fitted, error)."""

    s0: float
    numbers: int
    conditions: int
    rms: float
    rms_same: float
    rms_ladder: float
    rms_left_out: float
    profile: tuple[tuple[float, float, float, float], ...]
    shapes: tuple[tuple[float, float, float, float, float, float], ...]
    rows: tuple[tuple[str, bool, float], ...]


def _left_out(rows: tuple[Condition, ...]) -> float:
    """RMS over conditions of which s0 was fitted to the others only."""
    found: list[float] = []
    for one in rows:
        s0 = best_s0([other for other in rows if other is not one])
        found += errors(one, model_reps(Settings(s0)))
    return math.sqrt(sum(error * error for error in found) / len(found))


def _shape(rows: tuple[Condition, ...], a: float, b: float) -> tuple[float, float, float, float, float, float]:
    s0 = best_s0(rows, a=a, b=b)
    settings = Settings(s0, a, b)
    ratios = losses(settings)
    return (a, b, s0, rms(rows, model_reps(settings)), ratios["1 RIR"], ratios["3 RIR"])


def fit() -> FitReport:
    """Refit s0 to the rows in `data/` and try the result on the others; takes a few seconds, reads those files."""
    rows = fitted()
    s0 = best_s0(rows)
    best = model_reps(Settings(s0))
    profile = []
    for tau_fast in FAST_RANGE:
        for tau_slow in SLOW_RANGE:
            own = best_s0(rows, tau_fast=tau_fast, tau_slow=tau_slow)
            miss = rms(rows, model_reps(Settings(own, tau_fast=tau_fast, tau_slow=tau_slow)))
            profile.append((tau_fast, tau_slow, own, miss))
    return FitReport(
        s0,
        sum(len(one.seen) for one in rows),
        len(rows),
        rms(rows, best),
        rms(rows, same_reps),
        rms(rows, ladder_reps),
        _left_out(rows),
        tuple(profile),
        tuple(_shape(rows, a, b) for a, b in ((A, B), (0.16, 1.84), (0.1, 1.9), (0.4, 1.6))),
        tuple((one.name, one.fitted, _mean(errors(one, best))) for one in conditions()),
    )


def _mean(found: Sequence[float]) -> float:
    return sum(found) / len(found)


def tables(report: FitReport) -> str:
    """The report as Markdown, as it stands in the engine's README."""
    instance("report", report, FitReport)
    seen = losses_after_stopping()
    lines = [
        f"{report.numbers} numbers from {report.conditions} conditions; best s0 {report.s0:.2f}.",
        "",
        "| prediction | RMS error, of the first set's reps |",
        "|---|---|",
        f"| strength left, s0 fitted to all | {report.rms:.3f} |",
        f"| strength left, each condition predicted from the others | {report.rms_left_out:.3f} |",
        f"| fixed ladder 1, .70, .55, .50, .45 | {report.rms_ladder:.3f} |",
        f"| same reps every set | {report.rms_same:.3f} |",
        "",
        "| tau_fast, s | " + " | ".join(f"tau_slow {slow:g} s" for slow in SLOW_RANGE) + " |",
        "|---" * (len(SLOW_RANGE) + 1) + "|",
    ]
    for fast in FAST_RANGE:
        cells = [f"{miss:.3f} (s0 {s0:.2f})" for tau, _, s0, miss in report.profile if tau == fast]
        lines.append(f"| {fast:g} | " + " | ".join(cells) + " |")
    lines += ["", "| a | b | s0 | RMS | 1 RIR : failure | 3 RIR : failure |", "|---|---|---|---|---|---|"]
    lines.append(f"| published (velocity) | | | | {seen['1 RIR']:.2f} | {seen['3 RIR']:.2f} |")
    lines += ["| " + " | ".join(f"{x:.2f}" if i != 3 else f"{x:.3f}" for i, x in enumerate(row)) + " |"
              for row in report.shapes]  # fmt: skip
    lines += ["", "| condition | used | mean error |", "|---|---|---|"]
    lines += [f"| {name} | {'fitted' if used else 'only tried'} | {error:+.2f} |" for name, used, error in report.rows]
    return "\n".join(lines)


if __name__ == "__main__":
    print(tables(fit()))
