"""What one session says about maxima: the best informative step of each exercise and side."""

from collections.abc import Sequence

from coachdesk import engine
from programs.logs.mapping import SheetExercise, SheetStep, sheet_exercises
from programs.logs.models import SessionLog, SetLog
from programs.models import StrengthObservation

# Sets of more reps speak of endurance, not of the maximum (engine.md: over 15 do not raise the estimate).
MOST_REPS = 15
# Without a load in kg or lb there is nothing to estimate from; body mass is not part of the load yet.
NOT_LOADED = ("bodyweight", "band")


def best_observations(session_log: SessionLog, sets: Sequence[SetLog]) -> list[StrengthObservation]:
    """Unsaved observations, one per exercise and side at most.

    A step whose effort is known (typed RIR, or failure) goes before one that is only a lower bound; among the
    known the one with the fewest reps to failure, whose reading is the surest; among bounds the highest.
    """
    plan = _plan(session_log)
    best: dict[tuple[int, str], StrengthObservation] = {}
    for row in sets:
        if not is_informative(row):
            continue
        # One written step may be logged left and right apart.
        place = (row.position, row.set_no, row.step_no)
        step = plan.get((*place, row.side)) or plan.get((*place, "b"))
        found = _observation(session_log, row, step if step and step[1].exercise == row.exercise_id else None)
        key = (row.exercise_id, row.side)
        if key not in best or _rank(found, row.exercise.endurance) < _rank(best[key], row.exercise.endurance):
            best[key] = found
    return list(best.values())


def is_informative(row: SetLog) -> bool:
    """Whether a step says anything about a maximum at all.

    Not: drops after the first step, sets over 15 reps, work without a load, and a step to failure ticked off
    as written, because nobody counted its reps.
    """
    if row.step_no != 1 or row.rep_kind != "reps" or not 1 <= row.reps <= MOST_REPS:
        return False
    if not row.load or row.exercise.equipment_kind in NOT_LOADED:
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
        machine=planned[0].machine if planned else "", on=session_log.done_on, load=row.load or 0, unit=row.unit,
        reps=row.reps, rir=rir, lower_bound=rir is None,
        strength_before=planned[1].strength_before if planned else 1.0, source_uid=session_log.key,
    )  # fmt: skip


def _rank(row: StrengthObservation, endurance: float) -> tuple[bool, float, float]:
    """Smaller is better."""
    if row.lower_bound:
        fraction = engine.fraction_for_reps(row.reps, endurance=endurance) * row.strength_before
        return (True, -engine.to_kg(row.load, row.unit) / fraction, 0.0)
    return (False, row.reps + (row.rir or 0.0), -row.strength_before)
