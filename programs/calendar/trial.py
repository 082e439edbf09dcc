"""A test day as steps to hand over: up to an attempt at the estimate, and what follows it."""

from dataclasses import dataclass
from datetime import date

from clients.mapping import client_traits, place_equipment
from clients.models import Client
from coachdesk import engine
from coachdesk.engine.ramp import Ramp
from programs.mapping import Known, exercise_traits, piece_for
from programs.models import ClientDate


@dataclass(frozen=True)
class TrialDay:
    """The steps (None where there are none), or in words why there are none; `stop` forbids the test."""

    entry: ClientDate
    ramp: Ramp | None = None
    estimate: engine.Strength | None = None
    why_not: str = ""
    stop: str = ""


def trial_day(entry: ClientDate, today: date) -> TrialDay:
    """What a day of the calendar asks for, for the client at their usual place."""
    client, exercise = entry.client, entry.exercise
    if entry.kind != ClientDate.Kind.TEST:
        return TrialDay(entry)
    traits = client_traits(client, today)
    if traits.screening != "ok":
        words = "No screening is on file" if traits.screening == "missing" else "The clearance has expired"
        return TrialDay(entry, stop=f"{words}: no test of a maximum before that is answered.")
    if exercise is None:
        return TrialDay(entry, why_not="Steps are worked out for a test of one exercise; choose it for this day.")
    moved = exercise_traits(exercise)
    strength = Known(list(client.strength_estimates.all())).at(client.place).strengths.get(exercise.pk)
    piece = piece_for(place_equipment(client.place), moved)
    if strength is None:
        return TrialDay(entry, why_not=f"No maximum of {exercise.name} is known to begin from; record a test first.")
    if piece is None:
        return TrialDay(entry, estimate=strength, why_not=_no_piece(client))
    try:
        ramp = engine.maximum_ramp(moved, strength, piece, traits.body_kg)
    except engine.EngineError:
        words = f"The lightest load of {piece.name} is heavier than the estimate."
        return TrialDay(entry, estimate=strength, why_not=words)
    why_not = "" if ramp else "The load that is moved is not known: no units, or no body mass on file."
    return TrialDay(entry, ramp, strength, why_not)


def _no_piece(client: Client) -> str:
    where = f"at {client.place.name}" if client.place else "without a place of training"
    return f"Nothing to load this exercise on is set up {where}."
