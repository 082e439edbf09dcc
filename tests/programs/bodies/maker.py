"""Programmes as plain values for tests, without a database: two weeks of two sessions of three exercises."""

from dataclasses import replace
from typing import Any

from programs.bodies import Body, ExerciseState, SessionState
from tests.factories.programs import scheme_json

NAMES = {1: "Bench press", 2: "Row", 3: "Face pull", 4: "Dumbbell press"}
WEEKS, DAYS = (1, 2), {0: "Upper A", 3: "Upper B"}


def session(uid: str, week: int, day: int, name: str, **more: Any) -> SessionState:
    values = {"week_no": week, "day": day, "position": 1, "name": name, "place_id": None, "note": ""}
    return SessionState(uid, {**values, **more})


def exercise(uid: str, home: str, which: int, position: int, **more: Any) -> ExerciseState:
    values = {
        "position": position, "exercise_id": which, "scheme": scheme_json(), "group": "", "cue": "",
        "private_note": "",
    }  # fmt: skip
    return ExerciseState(uid, home, {**values, **more})


def body() -> Body:
    sessions = {f"s{w}{d}": session(f"s{w}{d}", w, d, name) for w in WEEKS for d, name in DAYS.items()}
    exercises = {
        f"{uid}e{which}": exercise(f"{uid}e{which}", uid, which, which) for uid in sessions for which in (1, 2, 3)
    }
    block = {"name": "Base", "first_week": 1, "weeks": 2}
    return Body("Base", (block,), sessions, exercises, dict(NAMES), {7: "Hotel"})


def ordered(made: Body) -> Body:
    """Sessions and exercises in the order they are done, as the codec gives them."""
    sessions = sorted(made.sessions.values(), key=lambda s: (*s.when, s.values["position"], s.uid))
    rank = {one.uid: n for n, one in enumerate(sessions)}
    rows = sorted(made.exercises.values(), key=lambda e: (rank[e.session], e.values["position"], e.uid))
    return replace(made, sessions={s.uid: s for s in sessions}, exercises={e.uid: e for e in rows})


def with_session(made: Body, uid: str, **values: Any) -> Body:
    there = made.sessions[uid]
    return ordered(replace(made, sessions={**made.sessions, uid: replace(there, values={**there.values, **values})}))


def with_exercise(made: Body, uid: str, *, home: str = "", **values: Any) -> Body:
    there = made.exercises[uid]
    now = ExerciseState(uid, home or there.session, {**there.values, **values})
    return ordered(replace(made, exercises={**made.exercises, uid: now}))


def plus_session(made: Body, one: SessionState) -> Body:
    return ordered(replace(made, sessions={**made.sessions, one.uid: one}))


def plus_exercise(made: Body, one: ExerciseState) -> Body:
    return ordered(replace(made, exercises={**made.exercises, one.uid: one}))


def without_session(made: Body, uid: str) -> Body:
    sessions = {k: s for k, s in made.sessions.items() if k != uid}
    return replace(made, sessions=sessions, exercises={k: e for k, e in made.exercises.items() if e.session != uid})


def without_exercise(made: Body, uid: str) -> Body:
    return replace(made, exercises={k: e for k, e in made.exercises.items() if k != uid})
