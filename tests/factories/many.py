"""More of everything that a page lists, for tests of what does not grow with it."""

from datetime import datetime, timedelta
from typing import Any

from clients.links.services import make_link
from clients.models import Client, Place
from coachdesk import engine
from coachdesk.practice.models import Membership
from programs.logs.models import ClientMessage
from programs.logs.services.roster_views import keep_view
from programs.models import Exercise, PlannedExercise, Program
from programs.services import assign_program, record_test
from programs.services.exercises import set_scheme
from programs.services.versions import save_version
from tests.factories.calendar import AbsenceFactory, ClientDateFactory, group_of
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory, PrecautionFactory
from tests.factories.logs import IssuedSheetFactory, exercise_body, logged
from tests.factories.programs import (
    MONDAY,
    EvidenceCardFactory,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    SchemeFactory,
    scheme_json,
)  # fmt: skip


def grow(ids: dict[str, list[Any]], desk: Membership, now: datetime, first: int, last: int) -> None:
    """Rows number `first` to `last` of what `one_of_everything` made one of (`ids` as it gave them)."""
    someone, place = Client.objects.get(pk=ids["client"][0]), Place.objects.get(pk=ids["place"][0])
    template = Program.objects.get(pk=ids["template"][0])
    own = Program.objects.get(pk=ids["program"][0])
    for n in range(first, last + 1):
        exercise = ExerciseFactory(practice=desk.practice, name=f"Exercise {n:03}")
        _of_practice(desk, place, template, now, n)
        _of_client(desk, someone, exercise, now, n)
        # The first is today, so that the day's pages have something to show from the start.
        session = PlannedSessionFactory(program=own, week_no=1 + (n - 1) % 8, day=n % 7, name=f"Session {n}")
        PlannedExerciseFactory(session=session, exercise=exercise)


def _of_practice(desk: Membership, place: Place, template: Program, now: datetime, n: int) -> None:
    other = ClientFactory(coach=desk, place=place, name=f"Client {n:03}")
    assign_program(by=desk, program=template, client=other, start_on=MONDAY, today=MONDAY, now=now)
    row = PlannedExercise.objects.filter(session__block__program=template)[0]
    set_scheme(by=desk, planned=row, scheme=engine.scheme_from_json(scheme_json(sets=str(2 + n % 7))))
    save_version(by=desk, program=template, note=f"Version {n}", now=now)
    SchemeFactory(practice=desk.practice, name=f"Scheme {n:03}")
    EvidenceCardFactory(practice=desk.practice)
    PlaceFactory(practice=desk.practice, name=f"Place {n:03}")
    EquipmentFactory(place=place, stack=True, name=f"Stack {n:03}")
    group_of(desk, [other], place=place, name=f"Group {n:03}")
    ProgramFactory(coach=desk, name=f"Template {n:03}")
    if n < 30:  # a member keeps no more
        goal = {"goal": {"value": "size", "words": "size"}}
        keep_view(by=desk, name=f"View {n}", filters=goal, is_shared=True, now=now)


def _of_client(desk: Membership, someone: Client, exercise: Exercise, now: datetime, n: int) -> None:
    PrecautionFactory(client=someone, words=f"Precaution {n}")
    away = MONDAY + timedelta(days=60 + 3 * n)
    AbsenceFactory(client=someone, first_on=away, last_on=away)
    ClientDateFactory(client=someone, exercise=exercise, on=away)
    record_test(by=desk, client=someone, exercise=exercise, load=100_000, unit="kg", reps=1, on=MONDAY)
    make_link(by=desk, client=someone, label=f"Phone {n}", now=now)
    ClientMessage.objects.create(client=someone, text=f"Message {n}", sent_at=now)
    on = MONDAY - timedelta(days=n % 80)
    sheet = IssuedSheetFactory(client=someone, for_on=on, exercises=[exercise_body(exercise)])
    logged(sheet, by=desk, pains={exercise.pk: 4})
