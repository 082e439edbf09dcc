"""Writes about strength and what was done."""

from collections.abc import Callable
from datetime import date
from typing import Any
from unittest.mock import patch
from uuid import uuid4

from programs import services as programs
from programs.logs import services as logs
from programs.logs.intake.services import take_back
from programs.logs.intake.work import note_problem, work_on
from programs.logs.models import ClientMessage, PlanGap, RosterView, SetLog
from programs.logs.phone.entries import Entry, Hurt, Rated, Said, SetCleared, SetDone, Shortened, Skipped
from programs.logs.phone.places import change_place
from programs.logs.phone.services import record_entry
from programs.logs.selectors.needs import worked_out
from programs.logs.services.needs import begin_needs, keep_needs
from programs.logs.services.roster_views import keep_view, remove_view
from programs.models import StrengthObservation, TimedBest
from tests.faults.world import TODAY, World

EDITED = {"load": 60_000, "reps": 5, "rir": 1.0}
PLANK = {"load": 0, "unit": "kg", "amount": 75, "on": TODAY}


def _set(world: World) -> SetLog:
    return world.row(SetLog, "set_log")


def _recorded(world: World) -> Any:
    return logs.record_session_log(
        **world.at, client=world.client, sheet=world.sheet, key=uuid4(), done_on=TODAY, steps=world.steps
    )


def _corrected(world: World) -> Any:
    values = {"done_on": date(2026, 11, 16), "note": "x"}
    return logs.edit_session_log(**world.at, session_log=world.log, version=world.log.version, values=values)


def _pain(world: World) -> Any:
    values = {"pain": 3, "next_morning": None, "note": ""}
    return logs.record_pain(
        **world.at, session_log=world.log, exercise_id=world.exercise.pk, version=1, values=values
    )  # fmt: skip


def _best(world: World) -> TimedBest:
    return TimedBest.objects.get(pk=world.ids["client_best"][1])


def _phoned(world: World, entry: Entry) -> Any:
    """On the sheet of which one set was logged."""
    return record_entry(
        client=world.client, sheet=world.half.sheet, key=uuid4(), entry=entry, now=world.now
    )  # fmt: skip


def _taken_back(world: World) -> Any:
    with patch("programs.logs.intake.services.begin_later"):
        return take_back(world.imported.act, world.desk)


def _kept_need(world: World) -> Any:
    pk = world.client.pk
    return keep_needs(world.desk.practice, worked_out([world.client], TODAY), {pk: world.client.need.marked})


CALLS: dict[str, Callable[[World], Any]] = {
    "keep view": lambda w: keep_view(**w.at, name="Ending", filters={}, is_shared=False),
    "remove view": lambda w: remove_view(**w.at, view=w.row(RosterView, "roster_view")),
    "begin needs": lambda w: begin_needs(w.desk.practice, [w.client.pk, w.archived.pk]),
    "keep needs": _kept_need,
    "record test": lambda w: programs.record_test(
        **w.by, client=w.client, exercise=w.exercise, load=110_000, unit="kg", reps=1, on=TODAY
    ),
    "remove test": lambda w: programs.remove_test(
        **w.by, observation=StrengthObservation.objects.get(pk=w.ids["client_test"][1])
    ),
    "record best": lambda w: programs.record_best(**w.by, client=w.client, exercise=_best(w).exercise, **PLANK),
    "remove best": lambda w: programs.remove_best(**w.by, best=_best(w)),
    "log session": _recorded,
    "log unplanned session": lambda w: logs.open_session_log(**w.at, client=w.client, key=uuid4(), done_on=TODAY),
    "skip session": lambda w: logs.skip_session(**w.at, sheet=w.sheet, key=uuid4(), skipped_why="ill", on=TODAY),
    "edit log": _corrected,
    "log set": lambda w: logs.log_set(**w.at, session_log=w.half, key=uuid4(), step=w.open_step),
    "edit set": lambda w: logs.edit_set(**w.at, set_log=_set(w), version=_set(w).version, values=EDITED),
    "remove set": lambda w: logs.remove_set(**w.at, set_log=_set(w), version=_set(w).version),
    "pain": _pain,
    "set on the phone": lambda w: _phoned(w, SetDone(w.open_step.slot, as_written=True)),
    "set corrected on the phone": lambda w: _phoned(w, SetDone("1-1-1-b", reps=5, load=60_000, over=1)),
    "set taken out on the phone": lambda w: _phoned(w, SetCleared("1-1-1-b", 1)),
    "rest left out on the phone": lambda w: _phoned(w, Skipped("", "had to leave")),
    "pain on the phone": lambda w: _phoned(w, Hurt(1, 4)),
    "rating on the phone": lambda w: _phoned(w, Rated(7, 50)),
    "shortened on the phone": lambda w: _phoned(w, Shortened(10, (w.open_step.slot,))),
    "another place on the phone": lambda w: change_place(
        client=w.client, sheet=w.fresh, place=w.home.pk, key=uuid4(), now=w.now
    ),
    "kept aside from the phone": lambda w: _phoned(w, SetDone("1-1-1-b", reps=1)),
    "message": lambda w: _phoned(w, Said("Knee is fine")),
    "answer": lambda w: logs.answer_message(**w.at, message=w.row(ClientMessage, "message"), version=1, answer="Good."),
    "see what the plan has left": lambda w: logs.see_plan_gap(**w.at, gap=w.row(PlanGap, "plan_gap"), version=1),
    "import sets": lambda w: w.read_in(date(2026, 11, 3)),
    "what follows from an import": lambda w: work_on(log_import=w.imported, now=w.now),
    "what stopped an import": lambda w: note_problem(log_import=w.imported, problem="Disk", now=w.now),
    "take an import back": _taken_back,
    "write report": lambda w: logs.write_note(
        **w.at, block=w.session.block, span=(1, 4), version=1, values={"note": "Slower"}
    ),
    "work out anew": lambda w: logs.refresh_client(w.client.pk),
    "undo log": lambda w: logs.undo_session_log(**w.by, session_log=w.log),
}
