"""What one session says about maxima: every first bout whose effort is known, and the best of the others."""

from collections.abc import Sequence

from coachdesk import engine
from programs.logs.mapping import SheetExercise, SheetStep, sheet_exercises
from programs.logs.models import SessionLog, SetLog
from programs.mapping import machine_key
from programs.models import StrengthObservation

# More reps say something only near failure, and then of repetition capacity: they never raise the maximum.
MOST_REPS = 15
MOST_COUNTED = 60
NEAR_FAILURE = 3.0
# Without units there is nothing to estimate from, nor of body-weight work whose moved mass was not known that day.
NOT_LOADED = ("bodyweight", "band")


def observations_from(session_log: SessionLog, sets: Sequence[SetLog]) -> list[StrengthObservation]:
    """Unsaved observations of every exercise and side: all sets with a typed RIR or failure, fresh ones first.

    Where no effort is known, the one of the ticked-off sets that proves most: the others could not raise it further.
    """
    plan = _plan(session_log)
    known: list[StrengthObservation] = []
    bounds: dict[tuple[int, str], StrengthObservation] = {}
    for row in sets:
        if not is_informative(row):
            continue
        # One written step may be logged left and right apart.
        place = (row.position, row.set_no, row.step_no)
        step = plan.get((*place, row.side)) or plan.get((*place, "b"))
        found = _observation(session_log, row, step if step and step[1].exercise == row.exercise_id else None)
        if not found.lower_bound:
            known.append(found)
            continue
        key = (row.exercise_id, row.side)
        if key not in bounds or _proves(found, row) > _proves(bounds[key], row):
            bounds[key] = found
    told = {(row.exercise_id, row.side) for row in known}
    return sorted([*known, *(found for key, found in bounds.items() if key not in told)], key=_in_order)


def is_informative(row: SetLog) -> bool:
    """Whether a step says anything about a maximum or a repetition capacity at all.

    Not: drops after the first step, more than 15 reps unless near failure, work without a load, and a step to
    failure ticked off as written, because nobody counted its reps.
    """
    effort = row.rir if row.rir is not None else (0.0 if row.failed else None)
    most = MOST_COUNTED if effort is not None and effort <= NEAR_FAILURE else MOST_REPS
    if row.step_no != 1 or row.rep_kind != "reps" or not 1 <= row.reps <= most:
        return False
    if row.load is None or not row.moved:
        return False
    if row.body_load is None and (row.exercise.body_share or row.exercise.equipment_kind in NOT_LOADED):
        return False
    return not (row.as_written and row.rir is None and row.planned_rir == 0)


def _plan(session_log: SessionLog) -> dict[tuple[int, int, int, str], tuple[SheetExercise, SheetStep]]:
    if session_log.sheet is None:
        return {}
    return {
        (s.position, s.set_no, s.step_no, s.side): (one, s)
        for one in sheet_exercises(session_log.sheet.body)
        for s in one.steps
    }


def _observation(
    session_log: SessionLog, row: SetLog, planned: tuple[SheetExercise, SheetStep] | None
) -> StrengthObservation:
    rir = row.rir if row.rir is not None else (0.0 if row.failed else None)
    return StrengthObservation(
        client_id=session_log.client_id, exercise_id=row.exercise_id, side=row.side,
        machine=_machine(session_log, row, planned), on=session_log.done_on, load=row.load or 0, unit=row.unit,
        body_load=row.body_load or 0, reps=row.reps, rir=rir, lower_bound=rir is None,
        # Without its sheet nobody knows how fresh the set was, and beside fresh ones it would pass for a wrong answer.
        to_failure=planned is not None and rir == 0 and row.planned_rir == 0,
        strength_before=planned[1].strength_before if planned else 1.0, source_uid=session_log.key,
    )  # fmt: skip


def _machine(session_log: SessionLog, row: SetLog, planned: tuple[SheetExercise, SheetStep] | None) -> str:
    """Whose machine: as the sheet says; where it says nothing (or there is none), the one where it was done."""
    if planned and planned[0].machine:
        return planned[0].machine
    return machine_key(row.exercise, session_log.where_id)


def _proves(found: StrengthObservation, row: SetLog) -> float:
    """The 1RM in kg that a lower bound proves."""
    fraction = engine.fraction_for_reps(found.reps, endurance=row.exercise.endurance) * found.strength_before
    return engine.to_kg(found.moved or 0, found.unit) / fraction


def _in_order(found: StrengthObservation) -> tuple[int, str, bool, float, int, int]:
    """As they are read again: sure ones first, then as fresh as they were done."""
    return (found.exercise_id, found.side, found.lower_bound, -found.strength_before, found.load, found.reps)
