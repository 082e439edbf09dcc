"""Between a programme's rows, the same as plain values, and the JSON that a version keeps.

Every column of a row travels, whatever it is called, but its key, its parent, its uid and its edit count: a column
added later comes along by itself, and one that an old version lacks takes its default.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar
from uuid import UUID

from django.db import models

from programs.models import Block, PlannedExercise, PlannedSession, Program

Values = dict[str, Any]
Row = TypeVar("Row", bound=models.Model)
LEFT_OUT = {"id", "uid", "version", "program_id", "block_id", "session_id"}


def columns_of(model: type[models.Model]) -> tuple[str, ...]:
    """The columns of a row that travel."""
    return tuple(f.attname for f in model._meta.concrete_fields if f.attname not in LEFT_OUT)


BLOCK, SESSION, EXERCISE = columns_of(Block), columns_of(PlannedSession), columns_of(PlannedExercise)


@dataclass(frozen=True)
class SessionState:
    """One planned session: its columns by name."""

    uid: str
    values: Values

    @property
    def when(self) -> tuple[int, int]:
        """Week (from 1) and day (0 Monday)."""
        return self.values["week_no"], self.values["day"]


@dataclass(frozen=True)
class ExerciseState:
    """One planned exercise: the uid of its session and its columns by name."""

    uid: str
    session: str
    values: Values


@dataclass(frozen=True)
class Body:
    """A whole programme. Sessions and exercises by uid, in the order they are done; names of what ids point to."""

    name: str
    blocks: tuple[Values, ...]
    sessions: dict[str, SessionState]
    exercises: dict[str, ExerciseState]
    exercise_names: dict[int, str] = field(default_factory=dict, compare=False)
    place_names: dict[int, str] = field(default_factory=dict, compare=False)

    @property
    def weeks(self) -> int:
        return max((b["first_week"] + b["weeks"] - 1 for b in self.blocks), default=0)

    def inside(self, session: str) -> list[ExerciseState]:
        """The exercises of a session, in order."""
        return [one for one in self.exercises.values() if one.session == session]


def body_of(program: Program, blocks: Iterable[Block], sessions: Iterable[PlannedSession]) -> Body:
    """The programme of these rows: sessions with their place, and their exercises with the movement, fetched."""
    made = Body(program.name, tuple(_values(block, BLOCK) for block in blocks), {}, {})
    for session in sorted(sessions, key=lambda s: (s.week_no, s.day, s.position, s.pk)):
        uid = str(session.uid)
        made.sessions[uid] = SessionState(uid, _values(session, SESSION))
        if session.place is not None:
            made.place_names[session.place.pk] = session.place.name
        for row in sorted(session.exercises.all(), key=lambda e: (e.position, e.pk)):
            made.exercises[str(row.uid)] = ExerciseState(str(row.uid), uid, _values(row, EXERCISE))
            made.exercise_names[row.exercise_id] = row.exercise.name
    return made


def _values(row: models.Model, names: Iterable[str]) -> Values:
    return {name: getattr(row, name) for name in names}


def body_to_json(body: Body) -> dict[str, Any]:
    """Plain JSON with "v": 1, read back by `body_from_json` without loss."""
    inside: dict[str, list[Values]] = {uid: [] for uid in body.sessions}
    for one in body.exercises.values():
        inside[one.session].append({"uid": one.uid, **one.values})
    return {
        "v": 1, "name": body.name, "blocks": [dict(block) for block in body.blocks],
        "sessions": [{"uid": s.uid, **s.values, "exercises": inside[s.uid]} for s in body.sessions.values()],
        "exercise_names": {str(pk): name for pk, name in sorted(body.exercise_names.items())},
        "place_names": {str(pk): name for pk, name in sorted(body.place_names.items())},
    }  # fmt: skip


def body_from_json(data: Mapping[str, Any]) -> Body:
    """The programme that a version keeps. ValueError for JSON of another make."""
    if data.get("v") != 1:
        raise ValueError(f"A version's body has v = {data.get('v')!r}; 1 is right.")
    blocks = tuple(_completed(Block, BLOCK, block) for block in data["blocks"])
    made = Body(
        data["name"], blocks, {}, {}, {int(pk): name for pk, name in data["exercise_names"].items()},
        {int(pk): name for pk, name in data["place_names"].items()},
    )  # fmt: skip
    for session in data["sessions"]:
        uid = session["uid"]
        made.sessions[uid] = SessionState(uid, _completed(PlannedSession, SESSION, session))
        for row in session["exercises"]:
            made.exercises[row["uid"]] = ExerciseState(row["uid"], uid, _completed(PlannedExercise, EXERCISE, row))
    return made


def _completed(model: type[models.Model], names: Iterable[str], kept: Mapping[str, Any]) -> Values:
    """What was kept, with the defaults of columns that came later."""
    fields = {f.attname: f for f in model._meta.concrete_fields}
    return {name: kept[name] if name in kept else fields[name].get_default() for name in names}


@dataclass
class Rows:
    """Unsaved rows of one programme, each pointing at its parent: save them in this order."""

    blocks: list[Block]
    sessions: list[PlannedSession]
    exercises: list[PlannedExercise]


def rows_of(body: Body, program: Program, *, places: Iterable[int] | None = None) -> Rows:
    """The rows to insert for `program`, uids kept. `places`: ids there still are; any other is dropped."""
    there = None if places is None else set(places)
    blocks = [Block(program=program, **block) for block in body.blocks]
    sessions: dict[str, PlannedSession] = {}
    for one in body.sessions.values():
        row = PlannedSession(block=block_at(blocks, one.values["week_no"]), uid=UUID(one.uid), **one.values)
        if there is not None and row.place_id not in there:
            row.place_id = None
        sessions[one.uid] = row
    exercises = [
        PlannedExercise(session=sessions[one.session], uid=UUID(one.uid), **one.values)
        for one in body.exercises.values()
    ]
    return Rows(blocks, list(sessions.values()), exercises)


def block_at(blocks: Iterable[Block], week_no: int) -> Block:
    """The block that holds a week, else the last one."""
    found = sorted(blocks, key=lambda b: b.first_week)
    return next((b for b in found if b.first_week <= week_no < b.first_week + b.weeks), found[-1])
