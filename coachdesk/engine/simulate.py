"""Simulated lifters with known maxima, some of whom do not obey the desk's model, to judge the estimates by."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from random import Random

from .constants import value
from .curves import curve_for
from .equations import EQUATION_NAMES
from .errors import instance, number, whole
from .learn_recovery import Bout
from .strength_left import Step, model_for, predict_steps
from .strength_values import Observation

_DAY_SD, _WEEK_SD = value("strength_day_sd"), value("strength_week_sd")
_TREND_SD, _CAPACITY_SD, _BIAS_SD = value("strength_trend_sd"), value("capacity_sd"), value("rir_bias_sd")
_REP_NOISE, _TIRED = value("rep_noise"), value("tired_noise")
_RIR_NOISE, _RIR_NOISE_GROWS = value("rir_noise_reps"), value("rir_noise_per_rir")
_START = date(2026, 1, 5)
_REST_S = 150.0
_INCREMENT = 2.5


@dataclass(frozen=True)
class Case:
    """A population of lifters. None: drawn from the model's own beliefs.

    `bias`: reps that are left beyond the typed RIR (-1: types one more than is left). `endurance`: capacity drawn
    evenly between two numbers. `as_written`: share of sets ticked off without RIR. `slow`: how much of a set's cost
    is slow to return, against the model. `gain`: trend
    at the start, log units a week.
    """

    name: str
    words: str
    curve: str = "handbook"
    bias: float | None = None
    endurance: tuple[float, float] | None = None
    day_sd: float = _DAY_SD
    as_written: float = 0.0
    slow: float = 1.0
    gain: float | None = None
    weeks: tuple[int, int] = (6, 26)


@dataclass(frozen=True)
class Lifter:
    """A simulated log with the truth behind it: 1RM on the last day, repetition capacity, RIR bias."""

    true_kg: float
    endurance: float
    bias: float
    observations: tuple[Observation, ...]

    @property
    def as_of(self) -> date:
        """The day of the last set."""
        return self.observations[-1].on


# reps and RIR of the sets of each session, in turn; RIR 0: to failure, whatever the reps
_PLANS: tuple[tuple[tuple[int, int], ...], ...] = (
    ((8, 2), (10, 2)),
    ((5, 2), (8, 2)),
    ((5, 1), (10, 2), (3, 1), (12, 1)),
    ((6, 3), (8, 1), (10, 0)),
    ((4, 2), (6, 2), (12, 1)),
)


class _Person:
    def __init__(self, rng: Random, case: Case) -> None:
        self.rng, self.case = rng, case
        self.x = math.log(rng.uniform(40, 180))
        self.trend = rng.gauss(0.0, 0.01) if case.gain is None else case.gain
        low_high = case.endurance
        self.endurance = rng.uniform(*low_high) if low_high else math.exp(_within(rng, _CAPACITY_SD, 0.6))
        self.bias = case.bias if case.bias is not None else _within(rng, _BIAS_SD, 2.0)
        self.curve = curve_for(case.curve, round(self.endurance, 3))
        self.form = 0.0
        # what the coach believes; it follows what is typed, as autoregulation does
        self.belief = self.x + rng.gauss(0, 0.06)

    def pass_weeks(self, weeks: float) -> None:
        self.trend = self.trend * math.exp(-weeks / 26) + self.rng.gauss(0, _TREND_SD * math.sqrt(weeks))
        self.x += self.trend * weeks + self.rng.gauss(0, _WEEK_SD * math.sqrt(weeks))
        self.belief += self.trend * weeks
        self.form = self.rng.gauss(0, self.case.day_sd)

    def does(self, on: date, reps: int, rir: int, left: float) -> Observation | None:
        """One set planned at reps and RIR with `left` predicted; None when not even one rep went."""
        rng = self.rng
        planned = math.exp(self.belief) * left * curve_for("handbook", 1.0).phi(reps + rir)
        load = max(_INCREMENT, _INCREMENT * round(planned / _INCREMENT))
        truly_left = max(0.3, 1 - (1 - left) * self.case.slow) * math.exp(rng.gauss(0, _TIRED * (1 - left)))
        share = load / (truly_left * math.exp(self.x + self.form))
        able = self.curve.reps_left(min(1.2, share))
        able += rng.gauss(0, _REP_NOISE * max(1.0, able) * (30 + max(1.0, able)))
        if able < 0.75:
            self.belief -= 0.04
            return None
        most = max(1, round(able))
        if not rir:
            self.belief += 0.01 * max(-2, min(2, most - reps))
            return Observation(on, load, most, 0.0, strength_before=left, to_failure=True)
        done = min(reps, most)
        if done < reps:
            self.belief -= 0.02
            return Observation(on, load, done, 0.0, strength_before=left)
        if rng.random() < self.case.as_written:
            return Observation(on, load, done, lower_bound=True, strength_before=left)
        reserve = max(0.0, able - done)
        felt = reserve - self.bias + rng.gauss(0, _RIR_NOISE + _RIR_NOISE_GROWS * reserve)
        # nobody who obeys the model says 0 with a rep left: failure is known when it is met
        least = 1 if reserve >= 1 and self.case.bias is None else 0
        typed = float(min(10, max(least, round(felt))))
        self.belief += 0.01 * max(-2.0, min(2.0, typed - rir))
        return Observation(on, load, done, typed, strength_before=left)

    def tests(self, on: date) -> Observation:
        """A tested single."""
        load = _INCREMENT * max(1, round(math.exp(self.x + self.form + self.rng.gauss(0, 0.01)) / _INCREMENT))
        return Observation(on, load, 1, 0.0, test=True)


def _within(rng: Random, sd: float, most: float) -> float:
    return max(-most, min(most, rng.gauss(0, sd)))


@lru_cache(maxsize=512)
def _left(reps: int, rir: int, sets: int) -> tuple[float, ...]:
    fraction = curve_for("handbook", 1.0).phi(reps + rir)
    steps = [Step(fraction, reps, _REST_S)] * sets
    return tuple(step.strength_before for step in predict_steps(steps))


def simulate_lifter(rng: Random, case: Case, *, sets: int = 3) -> Lifter:
    """One lifter's log of 6 to 26 weeks, twice a week, `sets` sets a session; the same for the same seed.

    Reps, loads and RIR are whole as they are typed; loads follow what was typed, as a coach's would. One lifter in
    three has a tested single on the first day.
    """
    instance("case", case, Case)
    instance("random numbers", rng, Random)
    whole("sets", sets, 1, 20)
    person = _Person(rng, case)
    plan = rng.choice(_PLANS)
    seen: list[Observation] = []
    on = _START
    tested = rng.random() < 1 / 3
    for n in range(2 * rng.randint(*case.weeks)):
        days = 3 if n % 2 else 4
        on += timedelta(days=days)
        person.pass_weeks(days / 7)
        if n == 0 and tested:
            seen.append(person.tests(on))
        reps, rir = plan[n % len(plan)]
        done = (person.does(on, reps, rir, left) for left in _left(reps, rir, sets))
        seen += [one for one in done if one is not None]
    if not seen:
        return simulate_lifter(rng, case, sets=sets)
    # the truth is asked for on the day of the last set
    return Lifter(math.exp(person.x), person.endurance, person.bias, tuple(seen))


def simulate_sessions(
    rng: Random, pace: float, count: int, *, sets: int = 4, rest_s: float = 90.0
) -> tuple[tuple[Bout, ...], ...]:
    """Sessions of straight sets to 1 in reserve by someone for whom a second of rest counts `pace` times."""
    instance("random numbers", rng, Random)
    model, counted = model_for("handbook", 1.0), rest_s * number("pace", pace, 0.2, 5)
    made = []
    for _ in range(whole("sessions", count, 0, 1000)):
        fast = slow_part = 0.0
        maximum = 100 * math.exp(rng.gauss(0, 0.03))
        load = 75.0
        bouts = []
        for _ in range(whole("sets", sets, 1, 20)):
            before = max(0.05, 1 - fast - slow_part)
            able = model.reps_left(load / maximum, before)
            felt = max(1.0, able + rng.gauss(0, 0.08 * able))
            reps = max(1, round(felt) - 1)
            rir = max(0, round(felt - reps + rng.gauss(0, 0.7)))
            bouts.append(Bout(load, reps, float(rir), rest_s))
            lost = model.cost(load / maximum, before, min(reps, able), able)
            fast = (fast + lost[0]) * math.exp(-counted / value("tau_fast_s"))
            slow_part = (slow_part + lost[1]) * math.exp(-counted / value("tau_slow_s"))
        made.append(tuple(bouts))
    return tuple(made)


CASES: tuple[Case, ...] = (
    Case("model", "obey the model"),
    Case("bias_more", "one rep more left than typed", bias=1.0),
    Case("bias_less", "one rep less left than typed", bias=-1.0),
    *(Case(f"curve_{name}", f"true curve {name}", curve=name) for name in EQUATION_NAMES),
    Case("day", "day effect twice as big", day_sd=2 * _DAY_SD),
    Case("as_written", "half of the sets as written", as_written=0.5),
    Case("endurance", "capacity 0.7 to 2, evenly", endurance=(0.7, 2.0)),
    Case("recovery", "twice the strength lost between sets", slow=2.0),
    Case("gain", "gain 0.5 % a week throughout", gain=0.005),
    Case("average", "average in capacity and RIR", bias=0.0, endurance=(1.0, 1.0)),
)
