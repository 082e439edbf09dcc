"""From a planned session to every step with its load, reps, rest and reasons, on one clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from functools import lru_cache

from .errors import instance
from .ledgers import Ledgers
from .plans import ClientTraits, ExercisePlan, SessionPlan
from .predict_step import _UNKNOWN_RIR as _UNKNOWN_RIR
from .prescribe_exercise import Runner
from .prescribed import PrescribedExercise, PrescribedSession
from .rules import DEFAULT, Rules


def prescribe_session(session: SessionPlan, client: ClientTraits, rules: Rules = DEFAULT) -> PrescribedSession:
    """Every step of a session with load, reps, rest and reasons. Cached: same values in, same object out.

    Loads are set fresh and stay (hold='load'): fatigue shows as a falling reserve. Rounding: nearest load
    that can be made, down for novices, older and cautioned clients; reps follow when it is > 2.5 % off.
    Exercises of one `group` are done in rotation, a set of each in turn with the rest written after it;
    their set-up and warm-ups come before the first set. What one exercise does is rest for the others
    as far as they use other muscles.
    """
    instance("session", session, SessionPlan)
    instance("client", client, ClientTraits)
    return _prescribe(session, client, instance("rules", rules, Rules))


_ASKED = tuple(field.name for field in fields(ExercisePlan) if field.name != "key")


class _Work:
    """What a session asks for, whatever it and its rows are called: weeks copied from one another are alike."""

    __slots__ = ("asked", "exercises")

    def __init__(self, exercises: tuple[ExercisePlan, ...]) -> None:
        self.exercises = exercises
        self.asked = tuple(tuple(getattr(one, name) for name in _ASKED) for one in exercises)

    def __hash__(self) -> int:
        return hash(self.asked)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Work) and self.asked == other.asked


@lru_cache(maxsize=4096)
def _prescribe(session: SessionPlan, client: ClientTraits, rules: Rules) -> PrescribedSession:
    alike = _prescribe_work(_Work(session.exercises), client, rules)
    exercises = tuple(
        made if made.key == plan.key else replace(made, key=plan.key)
        for plan, made in zip(session.exercises, alike, strict=True)
    )
    return PrescribedSession(session.key, session.day, session.name, exercises, sum(e.seconds for e in exercises))


@lru_cache(maxsize=1024)
def _prescribe_work(work: _Work, client: ClientTraits, rules: Rules) -> tuple[PrescribedExercise, ...]:
    ledgers = Ledgers(client.recovery)
    patterns: set[str] = set()
    made: dict[int, PrescribedExercise] = {}
    for members in rotations(work.exercises):
        runners = []
        for i in members:
            plan = work.exercises[i]
            first = plan.exercise.pattern not in patterns if plan.exercise.pattern else i == 0
            patterns.add(plan.exercise.pattern)
            runners.append(Runner(plan, client, rules, ledgers))
            runners[-1].lead_in(first)
        _rotate(runners, ledgers)
        made |= {i: runner.finish() for i, runner in zip(members, runners, strict=True)}
    return tuple(made[i] for i in range(len(work.exercises)))


def rotations(exercises: Sequence[ExercisePlan]) -> list[list[int]]:
    """Positions of exercises done together, in order: one of each without a group, all of each group."""
    made: list[list[int]] = []
    groups: dict[str, list[int]] = {}
    for i, plan in enumerate(exercises):
        if plan.group in groups:
            groups[plan.group].append(i)
            continue
        made.append([i])
        if plan.group:
            groups[plan.group] = made[-1]
    return made


def _rotate(runners: list[Runner], ledgers: Ledgers) -> None:
    """A set of each in turn until none has one left; no rest after the very last."""
    while any(runner.has_more for runner in runners):
        for runner in runners:
            if not runner.has_more:
                continue
            rest = runner.run_next()
            if any(other.has_more for other in runners):
                ledgers.rest(rest)
                runner.seconds += rest
