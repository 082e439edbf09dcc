"""One of everything for a coach's client: what the tests over all routes and all pages stand on."""

from datetime import datetime
from typing import Any

from clients.links.services import make_link
from coachdesk import engine
from coachdesk.practice.models import Act, Membership
from programs.logs.models import ClientMessage, Departure, LogImport, PlanGap
from programs.logs.services import write_note
from programs.logs.services.roster_views import keep_view
from programs.models import PlannedExercise
from programs.services import assign_program, issue_sheet, record_best, record_test
from programs.services.exercises import set_scheme
from programs.services.rollouts import hand_out
from programs.services.sheet_runs import Wanted, start_run
from programs.services.versions import save_version
from tests.factories.calendar import AbsenceFactory, ClientDateFactory, group_of
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory, PrecautionFactory, ScreeningFactory
from tests.factories.logs import logged
from tests.factories.phone import say
from tests.factories.practice import MembershipFactory
from tests.factories.programs import (
    MONDAY,
    EvidenceCardFactory,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    SchemeFactory,
    scheme_json,
)


def one_of_everything(desk: Membership, now: datetime) -> dict[str, list[Any]]:
    """Kind of object -> the arguments of a route that shows it: a client with plan, sheet and log."""
    place = PlaceFactory(practice=desk.practice, name="Full gym")
    equipment = EquipmentFactory(place=place)
    someone = ClientFactory(coach=desk, place=place, name="Vera Lindholm")
    ScreeningFactory(client=someone)
    exercise = ExerciseFactory(practice=desk.practice, name="Bench press")
    program = ProgramFactory(coach=desk, client=someone, name="Autumn block")
    session = PlannedSessionFactory(program=program, name="Upper A")
    planned = PlannedExerciseFactory(session=session, exercise=exercise)
    drops = scheme_json(kind="drop_set", load_value="80", reps="failure", ladder="80/65/50")
    PlannedExerciseFactory(session=session, exercise=exercise, scheme=drops)
    test = record_test(by=desk, client=someone, exercise=exercise, load=100_000, unit="kg", reps=1, on=MONDAY)
    link, token = make_link(by=desk, client=someone, label="Own phone", now=now)
    _, calendar = make_link(by=desk, client=someone, label="Calendar", now=now, kind="calendar")
    plank = ExerciseFactory(practice=desk.practice, name="Plank", equipment_kind="bodyweight", rep_kind="seconds")
    best = record_best(by=desk, client=someone, exercise=plank, load=0, unit="kg", amount=60, on=MONDAY)
    sheet = issue_sheet(by=desk, session=session, now=now, why="Tested last week with a spotter.")
    template = ProgramFactory(coach=desk, name="Base block")
    monday = PlannedExerciseFactory(session=PlannedSessionFactory(program=template), exercise=exercise)
    copy = assign_program(by=desk, program=template, client=someone, start_on=MONDAY, today=MONDAY, now=now)
    set_scheme(by=desk, planned=monday, scheme=engine.scheme_from_json(scheme_json(sets="5")))
    save_version(by=desk, program=template, note="More sets", now=now)
    kept = template.versions.order_by("number")[0]
    rollout = hand_out(
        by=desk, program=template, version=kept, takes_present=False, client_ids=[someone.pk], start_on=MONDAY,
        today=MONDAY, now=now,
    )  # fmt: skip
    run = start_run(
        by=desk, title="Sheets of 1 client", wanted=[Wanted(someone, session)], layout="each", paper="a4", now=now
    )
    left_out = [Departure(place="1-3-1-b", why="Elbow sore")]
    log = logged(sheet, by=desk, pains={exercise.pk: 6}, departures=left_out)
    PlannedExercise.objects.filter(pk=planned.pk).update(cue="Slow down")
    gap = PlanGap.objects.create(session_log=log, issued="f" * 64, found_at=now)
    say(someone, sheet, now)
    write_note(by=desk, block=session.block, span=(1, 4), version=0, values={"note": "Well done."}, now=now)
    return {
        "act": [Act.objects.filter(actor=desk).order_by("id")[0].pk], "": [],
        "token": ["x" * 43], "link_token": [token], "calendar_token": [calendar], "link": [link.pk],
        "client": [someone.pk], "place": [place.pk], "place_kind": [place.pk, "barbell"],
        "equipment": [equipment.pk], "precaution": [PrecautionFactory(client=someone).pk], "program": [program.pk],
        "block": [session.block_id],
        "session": [session.pk], "planned": [planned.pk], "exercise": [exercise.pk], "sheet": [sheet.pk],
        "log_import": [LogImport.objects.create(practice=desk.practice, by=desk, at=now, beat_at=now).pk],
        "session_log": [log.pk], "set_log": [log.sets.order_by("id")[0].pk], "client_test": [someone.pk, test.pk],
        "template": [template.pk], "template_version": [template.pk, 1], "copy": [copy.pk], "rollout": [rollout.pk],
        "sheet_run": [run.pk], "roster_view": [_view(desk, now)],
        "sheet_position": [sheet.pk, 1],
        "plan_gap": [gap.pk],
        "message": [ClientMessage.objects.get(client=someone).pk],
        "client_best": [someone.pk, best.pk],
        "evidence": [EvidenceCardFactory(practice=desk.practice).pk],
        "group": [group_of(desk, [someone, ClientFactory(coach=desk, place=place)], place=place).pk],
        "absence": [AbsenceFactory(client=someone).pk],
        "client_date": [ClientDateFactory(client=someone, exercise=exercise).pk],
        "scheme": [SchemeFactory(practice=desk.practice, name="Ladder").pk],
        "staff": [MembershipFactory(practice=desk.practice).pk],
    }  # fmt: skip


def _view(desk: Membership, now: datetime) -> int:
    goal = {"goal": {"value": "size", "words": "size"}}
    return keep_view(by=desk, name="For size", filters=goal, is_shared=True, now=now).pk
