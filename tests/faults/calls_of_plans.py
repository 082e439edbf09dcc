"""Writes about programmes, their versions and what is handed out."""

from collections.abc import Callable
from typing import Any

from coachdesk import engine
from coachdesk.engine.flags import Edit
from programs import services as programs
from programs.arrange.services import change_exercises
from programs.models import FlagDecision, PlannedExercise, Scheme, SheetRun
from programs.selectors.versions import present_body
from programs.services import exercises, flags, rollouts, schemes, sheet_runs, sheets, versions, weeks
from tests.factories.programs import STRAIGHT, scheme_json
from tests.faults.world import TODAY, World

FIVE = engine.scheme_from_json(scheme_json(sets="5"))
NEW = {"start_on": TODAY, "today": TODAY}


def _copy(world: World) -> Any:
    return world.copy_session.block.program


def _applied(world: World) -> Any:
    copy = _copy(world)
    seen = versions.fingerprint(present_body(copy))
    return versions.apply_version(
        **world.at, program=copy, version=world.newest, choices={}, seen=seen, frozen=lambda *_: False
    )  # fmt: skip


def _filled(world: World) -> Any:
    row = world.planned
    changes = {row.pk: ({"cue": row.cue}, {"cue": "Drive"})}
    return change_exercises(**world.by, program=world.program, label="Fill", changes=changes)


def _marks_and_dates(world: World) -> Any:
    edits = Edit("date", world.ids["client_date"][0], "remove", None), Edit("client", "lats", "mark", None)
    return flags.apply_remedy(**world.by, program=world.program, flag=world.flag(*edits), index=0)


def _remedied(world: World) -> Any:
    flag = world.flag(Edit("exercise", world.planned.pk, "cue", "Slowly"))
    return flags.apply_remedy(**world.by, program=world.program, flag=flag, index=0)


def _test_planned(world: World) -> Any:
    flag = world.flag(Edit("date", world.exercise.pk, "test", 9))
    return flags.apply_remedy(**world.by, program=world.program, flag=flag, index=0)


def _edited(world: World) -> Any:
    fields = {**STRAIGHT, "sets": "5"}
    return programs.edit_exercise(**world.by, planned=world.planned, version=1, fields=fields, unit="kg")


def _issued(world: World) -> Any:
    session = world.copy_session
    view = sheets.handover_view(session, world.now)
    return sheets.issue_shown(**world.at, view=view, session=session)


def _begun(world: World) -> Any:
    wanted = [sheet_runs.Wanted(world.client, world.copy_session)]
    return sheet_runs.start_run(**world.at, title="Sheets", wanted=wanted, layout="each", paper="letter")


def _cued(world: World) -> Any:
    first = PlannedExercise.objects.get(session__block__program=world.long, cue="Brace")
    return exercises.carry_cue(**world.by, planned=first)


CALLS: dict[str, Callable[[World], Any]] = {
    "create program": lambda w: programs.create_program(**w.by, name="New", weeks=4),
    "edit program": lambda w: programs.edit_program(**w.by, program=w.program, version=1, values={"name": "N"}),
    "archive program": lambda w: programs.archive_program(**w.by, program=w.program, today=TODAY),
    "assign": lambda w: programs.assign_program(**w.by, program=w.program, client=w.client, **NEW),
    "template": lambda w: programs.save_as_template(**w.by, program=w.program, name="Kept"),
    "copy week": lambda w: programs.copy_week(**w.by, program=w.program, week_no=1, to_weeks=[2, 3]),
    "move week": lambda w: programs.put_week(**w.by, program=w.program, week_no=1, to=2),
    "insert week": lambda w: programs.insert_copy(**w.by, program=w.program, week_no=1, to=1),
    "reorder weeks": lambda w: programs.insert_move(**w.by, program=w.program, week_no=1, to=3),
    "delete week": lambda w: programs.delete_week(**w.by, program=w.program, week_no=1),
    "empty week": lambda w: weeks.empty_week(**w.by, program=w.program, week_no=1),
    "add block": lambda w: programs.add_block(**w.by, program=w.program, name="Second", weeks=2),
    "edit block": lambda w: programs.edit_block(**w.by, block=w.session.block, name="First", weeks=5),
    "move block": lambda w: programs.move_block(**w.by, block=w.second, position=1),
    "duplicate block": lambda w: programs.duplicate_block(**w.by, block=w.session.block),
    "delete block": lambda w: programs.delete_block(**w.by, block=w.second),
    "split block": lambda w: programs.split_block(**w.by, program=w.program, week_no=2, name="Second"),
    "place session": lambda w: programs.place_session(**w.by, session=w.session, week_no=2, day=5),
    "place exercise": lambda w: programs.place_exercise(**w.by, planned=w.planned, session=w.session, position=2),
    "copy exercise": lambda w: programs.place_exercise(**w.by, planned=w.planned, session=w.session, copy=True),
    "add session": lambda w: programs.add_session(**w.by, program=w.program, week_no=2, day=3, name="B"),
    "edit session": lambda w: programs.edit_session(**w.by, session=w.session, version=1, values={"day": 4}),
    "remove session": lambda w: programs.remove_session(**w.by, session=w.session),
    "add exercise": lambda w: programs.add_exercise(**w.by, session=w.session, exercise=w.exercise),
    "edit exercise": _edited,
    "move exercise": lambda w: programs.move_exercise(**w.by, planned=w.planned, up=False),
    "remove exercise": lambda w: programs.remove_exercise(**w.by, planned=w.planned),
    "set scheme": lambda w: exercises.set_scheme(**w.by, planned=w.planned, scheme=FIVE),
    "swap exercise": lambda w: exercises.swap_exercise(**w.by, planned=w.planned, exercise_id=w.other.pk),
    "add cue": lambda w: exercises.add_cue(**w.by, planned=w.planned, words="Slowly"),
    "carry cue": _cued,
    "fill": _filled,
    "use scheme": lambda w: schemes.use_scheme(**w.at, planned=w.planned, version=1, scheme=FIVE),
    "keep scheme": lambda w: schemes.create_scheme(**w.at, name="Fives", scheme=FIVE),
    "edit scheme": lambda w: schemes.edit_scheme(
        **w.at, row=w.row(Scheme, "scheme"), version=1, name="Fives", scheme=FIVE
    ),
    "remove scheme": lambda w: schemes.remove_scheme(**w.at, row=w.row(Scheme, "scheme")),
    "remedy": _remedied,
    "remedy of dates and marks": _marks_and_dates,
    "remedy that plans a test": _test_planned,
    "set a flag aside": lambda w: flags.dismiss_flag(**w.at, program=w.program, flag=w.flag(), why="Asked"),
    "show a flag again": lambda w: flags.take_back_dismissal(**w.by, decision=FlagDecision.objects.get(flag_id="f")),
    "issue sheet": lambda w: programs.issue_sheet(**w.at, session=w.copy_session),
    "issue shown sheet": _issued,
    "save version": lambda w: versions.save_version(**w.at, program=w.template, note="Kept"),
    "apply version": _applied,
    "restore version": lambda w: versions.restore_version(**w.at, version=w.template.versions.get(number=1)),
    "begin sheets": _begun,
    "stop sheets": lambda w: sheet_runs.cancel_run(**w.at, run=w.row(SheetRun, "sheet_run")),
    "begin to hand out": lambda w: w.new_rollout(),
    "hand out": lambda w: w.hand(w.waiting),
    "stop handing out": lambda w: rollouts.stop_rollout(rollout=w.waiting, problem="Disk", now=w.now),
    "take back what was handed out": lambda w: rollouts.take_back(w.handed.act, w.desk),
}
