"""Takes demo clients through the engine: programmes prescribed, logs simulated, maxima learned."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from random import Random

import pytest

from coachdesk.demo.logbook import simulate_session
from coachdesk.demo.people import demo_clients
from coachdesk.demo.shapes import DemoClient, DemoExercise, DemoLog, DemoSession
from coachdesk.engine import (
    ClientTraits,
    ExercisePlan,
    ExerciseTraits,
    Observation,
    PrescribedProgram,
    PrescribedSession,
    SessionPlan,
    Strength,
    estimate_strength,
    prescribe_session,
    prescribe_weeks,
    scheme_from_fields,
    suspicious_ratio,
    to_kg,
)
from programs.library.exercises import library_exercise

TODAY = date(2026, 11, 25)
Strengths = dict[str, Strength | None]


@dataclass(frozen=True)
class Trained:
    """A demo client after their history: logs in order, and the coming weeks prescribed."""

    client: DemoClient
    logs: tuple[DemoLog, ...]
    coming: PrescribedProgram
    strengths: tuple[tuple[str, Strength | None], ...]


def traits(code: str) -> ExerciseTraits:
    known = library_exercise(code)
    return ExerciseTraits(
        code,
        known.name,
        known.muscles,
        known.equipment_kind,
        known.implements,
        known.limbs,
        known.endurance,
        known.pattern,
        known.spotter,
    )


def client_traits(client: DemoClient, on: date) -> ClientTraits:
    screening = client.screening
    state = "missing" if screening is None else "expired" if screening.expires_on < on else "ok"
    return ClientTraits(
        level=client.level,
        age=(on - client.born_on).days // 365,
        goal=client.goal,
        cautious=bool(client.precautions),
        screening=state,
        marks=client.marks,
        weeks_trained=(on - client.training_since_on).days // 7,
    )


def plan(client: DemoClient, session: DemoSession, strengths: Strengths) -> SessionPlan:
    assert client.program is not None
    place = client.place(session.place)

    def one(index: int, planned: DemoExercise) -> ExercisePlan:
        exercise = traits(planned.code)
        scheme = scheme_from_fields(dict(planned.scheme), client.unit)
        kit = place.kit_for(exercise.equipment_kind)
        key = f"{session.week_no}.{session.day}.{index}"
        return ExercisePlan(key, exercise, scheme, strengths.get(planned.code), kit)

    exercises = tuple(one(i, planned) for i, planned in enumerate(session.exercises))
    key = f"{session.week_no}.{session.day}"
    return SessionPlan(key, (session.week_no - 1) * 7 + session.day, session.name, exercises)


class Learner:
    """Keeps observations and estimates from tests and logs, as the desk's services will."""

    def __init__(self, client: DemoClient) -> None:
        self.client = client
        self.seen: dict[str, list[Observation]] = {}
        self.strengths: Strengths = {}
        self.asked: list[tuple[date, str, str]] = []
        for test in client.tests:
            if library_exercise(test.code).rep_kind == "reps":
                self._see(test.code, Observation(test.on, to_kg(test.load, test.unit), test.reps, 0.0, test=True))

    def read(self, log: DemoLog, issued: PrescribedSession) -> None:
        before = {
            (place, step.set_no): step.strength_before
            for place, exercise in enumerate(issued.exercises, 1)
            for steps in exercise.sets
            for step in steps[:1]
        }
        for done in log.sets:
            if done.step_no != 1 or done.rep_kind != "reps" or not done.load or not done.reps or done.side == "l":
                continue
            load = to_kg(done.load, done.unit)
            known = self.strengths.get(done.exercise_code)
            planned = done.planned_load and to_kg(done.planned_load, done.unit)
            odd = suspicious_ratio(load, planned) if known and planned else None
            if odd:
                self.asked.append((log.done_on, done.exercise_code, odd))
                continue
            rir, place = 0.0 if done.failed else done.rir, (done.position, done.set_no)
            self._see(
                done.exercise_code,
                Observation(log.done_on, load, min(done.reps, 60), rir, rir is None, False, before[place]),
            )
        for code, seen in self.seen.items():
            endurance = library_exercise(code).endurance
            self.strengths[code] = estimate_strength(tuple(seen), log.done_on, endurance=endurance)

    def _see(self, code: str, observation: Observation) -> None:
        self.seen.setdefault(code, []).append(observation)
        endurance = library_exercise(code).endurance
        self.strengths[code] = estimate_strength(tuple(self.seen[code]), observation.on, endurance=endurance)


def run(client: DemoClient, today: date, seed: int = 7) -> Trained:
    """Simulate the past of a client and prescribe from this week's Monday on."""
    assert client.program is not None
    rng = Random(f"{seed}:{client.key}")
    learner = Learner(client)
    logs = []
    for session in client.program.sessions if client.has_logs else ():
        on = client.program.date_of(session)
        if on < today:
            issued = prescribe_session(plan(client, session, learner.strengths), client_traits(client, on))
            logs.append(simulate_session(client, issued, on, rng))
            learner.read(logs[-1], issued)
    monday = today - timedelta(days=today.weekday())
    ahead = [s for s in client.program.sessions if client.program.date_of(s) >= monday]
    coming = prescribe_weeks(
        tuple(plan(client, session, learner.strengths) for session in ahead), client_traits(client, today)
    )
    return Trained(client, tuple(logs), coming, tuple(learner.strengths.items()))


@cache
def _trained(key: str) -> Trained:
    client = next(client for client in demo_clients(TODAY) if client.key == key)
    return run(client, TODAY)


@pytest.fixture(scope="session")
def trained() -> Callable[[str], Trained]:
    """The named demo client after their history, worked out once."""
    return _trained


@pytest.fixture(scope="session")
def train() -> Callable[..., Trained]:
    """Works a client's history out anew, optionally with another seed."""
    return run
