"""Swapping an exercise or a scheme from a week on, and the exercises that may stand in for one, with reasons."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from clients.mapping import place_equipment, precautions_on
from clients.models import Client, Place
from coachdesk import engine
from programs.arrange.lines import Placed, in_scope, lines_of
from programs.arrange.preview import Preview, Wanted, preview_of
from programs.mapping import exercise_traits
from programs.models import Exercise, PlannedExercise, PlannedSession
from programs.selectors.prescription import ProgramView

MOST_STANDS = 12
COUNTED = {"reps": "repetitions", "seconds": "seconds", "metres": "metres"}


def swap(view: ProgramView, asked: Mapping[str, Any], *, on: date) -> tuple[Preview, str]:
    """The preview of a swap and the words of its act. `asked`: planned, scope, from_week, to_week, exercise, scheme."""
    lines = lines_of(view)
    keys = in_scope(lines, asked["scope"], planned=asked["planned"])
    cells = [one for key in keys for one in lines[key] if asked["from_week"] <= one.week_no <= asked["to_week"]]
    if asked["scope"] == "here":
        cells = [one for own in lines.values() for one in own if one.pk == asked["planned"]]
    wanted: dict[int, Wanted] = {}
    left: dict[int, str] = {}
    said: dict[int, tuple[str, ...]] = {}
    for cell in cells:
        try:
            wanted[cell.pk] = _wanted(cell, asked["exercise"], asked["scheme"])
            said[cell.pk] = _said(cell, wanted[cell.pk])
        except engine.EngineError as wrong:
            left[cell.pk] = wrong.what
    return preview_of(view, wanted, left, on=on, said=said), _label(view, asked)


def _wanted(cell: Placed, exercise: Exercise | None, scheme: engine.Scheme | None) -> Wanted:
    now = cell.view.row.exercise
    made = scheme or cell.view.scheme
    if exercise is None or exercise.pk == now.pk:
        return Wanted(scheme=made)
    if scheme is None and exercise.rep_kind != now.rep_kind:
        there, here = COUNTED[exercise.rep_kind], COUNTED[now.rep_kind]
        raise engine.EngineError(f"{exercise.name} is counted in {there}, {now.name} in {here}; choose a scheme too")
    return Wanted(scheme=engine.without_fixed_loads(made), exercise=exercise)


def _said(cell: Placed, wanted: Wanted) -> tuple[str, ...]:
    if wanted.exercise is None:
        return ()
    notes = []
    if engine.has_fixed_load(cell.view.scheme):
        notes.append("a fixed load never goes over to another exercise: reps and RIR decide it")
    if cell.view.row.cue:
        notes.append(f"its cue stays: {cell.view.row.cue}")
    return tuple(notes)


def _label(view: ProgramView, asked: Mapping[str, Any]) -> str:
    one = view.exercise(asked["planned"])
    name = one.row.exercise.name if one else "an exercise"
    to = asked["exercise"].name if asked["exercise"] else ""
    words = engine.scheme_words(asked["scheme"]) if asked["scheme"] else ""
    act = f"Swap {name} for {to}" if to else f"Use {words} for {name}"
    if asked["scope"] == "here":
        return f"{act}, {one.row.session.name}, week {one.row.session.week_no}" if one else act
    where = "" if asked["scope"] == "everywhere" or one is None else f", {one.row.session.name}"
    return f"{act}{where}, from week {asked['from_week']}"


@dataclass(frozen=True)
class StandIn:
    """An exercise that may stand in: why, and what it lacks, in words."""

    exercise: Exercise
    stand: engine.Stand
    why: str
    lacks: str

    @property
    def shared(self) -> int:
        """Muscles shared, in per cent."""
        return round(100 * self.stand.overlap)

    @property
    def usable(self) -> bool:
        return not self.stand.is_barred and self.stand.equipped is not False


def stand_ins(
    planned: PlannedExercise, others: list[Exercise], *, client: Client | None, on: date
) -> list[StandIn]:  # fmt: skip
    """What may stand in for a planned exercise where it stands, best first (`others` with muscles prefetched)."""
    session: PlannedSession = planned.session
    place = session.place or (client.place if client else None)
    return stand_ins_at(planned.exercise, others, place=place, client=client, on=on)


def stand_ins_at(
    was: Exercise, others: list[Exercise], *, place: Place | None, client: Client | None, on: date
) -> list[StandIn]:  # fmt: skip
    """What may stand in for an exercise at a place, best first (`others` with muscles prefetched)."""
    held = precautions_on(client, on) if client else []
    rows = {row.pk: row for row in others if row.rep_kind == was.rep_kind}
    ranked = engine.rank_substitutes(
        exercise_traits(was), [exercise_traits(row) for row in rows.values()],
        library=[row.pk for row in was.ranked_substitutes],
        equipment=place_equipment(place).keys() if place else None,
        precautions=sorted({row.code for row in held if row.code}),
        limited=sorted({row.muscle for row in held if row.muscle}),
    )  # fmt: skip
    known = {row.exercise_id for row in client.strength_estimates.all()} if client else None
    here = place.name if place else ""
    found = []
    for stand in ranked[:MOST_STANDS]:
        row = rows[int(stand.exercise.key)]
        found.append(StandIn(row, stand, _why(stand), _lacks(stand, row, was, here, known)))
    return found


def _names(codes: tuple[str, ...]) -> str:
    return ", ".join(engine.muscle(code).name.lower() for code in codes)


def _why(stand: engine.Stand) -> str:
    parts = ["same movement pattern"] if stand.same_pattern else []
    if stand.kept:
        parts.append(f"{_names(stand.kept)} directly, as before")
    if stand.place is not None:
        parts.append(f"stand-in number {stand.place} of the library")
    return "; ".join(parts)


def _lacks(stand: engine.Stand, row: Exercise, was: Exercise, place: str, known: set[int] | None) -> str:
    parts = [f"spoken against: {engine.precaution(code).name.lower()}" for code in stand.against]
    parts += [f"trains what is under a precaution: {_names(stand.limited)}"] if stand.limited else []
    if stand.equipped is False:
        parts.append(f"no {row.get_equipment_kind_display().lower()} at {place}")
    parts += [] if stand.same_pattern else [f"another pattern: {row.pattern_words}"]
    parts += [f"{_names(stand.lessened)} only indirectly"] if stand.lessened else []
    parts += [f"not {_names(stand.lost)}"] if stand.lost else []
    parts += [f"also {_names(stand.added)} directly"] if stand.added else []
    parts += ["needs a spotter or safeties"] if row.spotter and not was.spotter else []
    parts += ["one side at a time, so longer"] if row.limbs == "one" and was.limbs != "one" else []
    parts += ["no maximum known yet"] if known is not None and row.pk not in known else []
    return "; ".join(parts)
