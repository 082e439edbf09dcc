"""The programme that is measured with: twelve weeks of five sessions of seven exercises."""

from dataclasses import dataclass
from datetime import datetime

from clients.models import Client
from clients.selectors import today_for
from coachdesk import engine
from coachdesk.practice.models import Membership
from programs import services
from programs.models import Exercise, PlannedSession, Program

WEEKS, DAYS, EXERCISES = 12, (0, 1, 2, 4, 5), 7
SCHEME = {"kind": "straight", "sets": "3", "load_kind": "percent", "load_value": "72", "reps": "6", "rest": "120"}


@dataclass(frozen=True)
class Course:
    """The programme and its sessions, in order."""

    program: Program
    sessions: tuple[PlannedSession, ...]


def make_course(*, by: Membership, client: Client, now: datetime, weeks: int = WEEKS) -> Course:
    """Made by the editor's own services; exercises whose maximum is known come first."""
    today = today_for(client, now)
    program = services.create_program(
        by=by, name="Weeks to measure", weeks=weeks, client=client, start_on=today, today=today
    )
    exercises = _exercises(client)
    scheme = engine.scheme_from_fields(SCHEME, client.unit)
    for number, day in enumerate(DAYS):
        session = services.add_session(by=by, program=program, week_no=1, day=day, name=f"Session {number + 1}")
        for exercise in exercises[EXERCISES * number : EXERCISES * (number + 1)]:
            services.add_exercise(by=by, session=session, exercise=exercise, scheme=scheme)
    if weeks > 1:
        services.copy_week(by=by, program=program, week_no=1, to_weeks=range(2, weeks + 1))
    rows = PlannedSession.objects.filter(block__program=program).select_related("block__program__client__place")
    return Course(program, tuple(rows.order_by("week_no", "day", "id")))


def _exercises(client: Client) -> list[Exercise]:
    known = set(client.strength_estimates.values_list("exercise_id", flat=True))
    rows = Exercise.objects.filter(practice=None, rep_kind="reps", limbs="two")
    return sorted(rows, key=lambda row: (row.pk not in known, row.pk))[: EXERCISES * len(DAYS)]
