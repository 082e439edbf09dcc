"""A practice with two clients that things are done to, and another practice that nothing may happen to."""

from datetime import timedelta
from typing import Any

from django.test import Client as Browser

from clients.models import Client, Place
from coachdesk.practice.models import Membership
from programs.logs.services.needs import begin_needs
from programs.models import Exercise, IssuedSheet
from programs.services import issue_sheet, record_test
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory, ScreeningFactory
from tests.factories.links import with_link
from tests.factories.logs import (
    NOON,
    TUESDAY,
    IssuedSheetFactory,
    drop_set,
    exercise_body,
    logged,
    step_body,
    straight_sets,
    written_steps,
)
from tests.factories.practice import MembershipFactory
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)


def gym_of(desk: Membership, name: str) -> Place:
    """Bar and plates, dumbbells, a stack, and room for body-weight work."""
    place = PlaceFactory(practice=desk.practice, name=name)
    for kind in ({}, {"dumbbells": True}, {"stack": True}, {"body_weight": True}):
        EquipmentFactory(place=place, **kind)
    return place


class World:
    """Made once; every series of steps begins from it."""

    def __init__(self, desk: Membership, stranger: Membership) -> None:
        self.desk, self.stranger = desk, stranger
        self.gym, self.home = gym_of(desk, "Full gym"), gym_of(desk, "Home")
        self.lifts = self._lifts()
        self.bench = self.lifts[0]
        self.people = [self._person(desk, self.gym, name) for name in ("Vera Lindholm", "Nora Falk")]
        self.sheets = {one.pk: self._sheets(desk, one) for one in self.people}
        vera = self.people[0]
        half = written_steps(self.sheets[vera.pk][1])[::2]
        logged(self.sheets[vera.pk][1], by=desk, steps=half, done_on=TUESDAY - timedelta(days=9), rating=6, minutes=50)
        elsewhere = gym_of(stranger, "Elsewhere")
        theo = self._person(stranger, elsewhere, "Theo Moll")
        for sheet in self._sheets(stranger, theo)[1:]:
            logged(sheet, by=stranger, done_on=TUESDAY - timedelta(days=2), rating=7, minutes=60)
        # Nobody does anything to her; what is done to the others must leave her alone.
        self.apart = self._person(MembershipFactory(practice=desk.practice), self.gym, "Ida Quist")
        logged(self._sheets(self.apart.coach, self.apart)[1], by=self.apart.coach, rating=6)
        begin_needs(desk.practice, [one.pk for one in (*self.people, self.apart)])
        begin_needs(stranger.practice, [theo.pk])
        self.browser = Browser()
        self.browser.force_login(desk.user)
        self.phones = {one.pk: with_link(one) for one in self.people}

    def _lifts(self) -> list[Exercise]:
        """A press, a pair of dumbbells, one leg at a time, the body, and a machine; of the library, as most are."""
        make: Any = ExerciseFactory
        return [
            make(name="Bench press"),
            make(name="Curl", muscles={"biceps": 1000, "forearms": 500}, implements=2, equipment_kind="dumbbell",
                 pattern="elbow_flexion"),
            make(name="Split squat", muscles={"quads": 1000, "glutes": 1000, "adductors": 500}, limbs="one",
                 pattern="lunge"),
            make(name="Pull-up", muscles={"lats": 1000, "biceps": 500}, equipment_kind="bodyweight", body_share=1000,
                 pattern="vertical_pull"),
            make(name="Leg press", muscles={"quads": 1000, "glutes": 500}, equipment_kind="stack", pattern="squat"),
        ]  # fmt: skip

    def _person(self, by: Membership, place: Place, name: str) -> Client:
        one = ClientFactory(
            coach=by, place=place, name=name, body_mass=80_000, body_mass_unit="kg", body_mass_on=MONDAY
        )  # fmt: skip
        ScreeningFactory(client=one)
        for lift, load in ((self.bench, 100_000), (self.lifts[4], 90_000)):
            record_test(
                by=by, client=one, exercise=lift, load=load, unit="kg", reps=1, on=MONDAY - timedelta(days=30)
            )  # fmt: skip
        return one

    def _sheets(self, by: Membership, one: Client) -> list[IssuedSheet]:
        """One of a plan, one of everything that a set can be."""
        program = ProgramFactory(coach=by, client=one, start_on=MONDAY - timedelta(days=14))
        session = PlannedSessionFactory(program=program, week_no=3, day=1, name="Upper A")
        for position, lift in enumerate((self.bench, self.lifts[4]), start=1):
            PlannedExerciseFactory(session=session, exercise=lift, position=position)
        planned = issue_sheet(by=by, session=session, now=NOON, why="Known well.")
        pounds = [step_body(set=n, unit="lb", load=45_000) for n in (1, 2)]
        sides = [step_body(set=n, side=side, load=20_000) for n in (1, 2) for side in "lr"]
        body = [step_body(set=n, load=0, body_load=80_000, on_body=True) for n in (1, 2)]
        bodies = [
            exercise_body(self.bench, 1, steps=straight_sets(2)),
            exercise_body(self.lifts[0], 2, steps=drop_set()),
            exercise_body(self.lifts[1], 3, steps=pounds),
            exercise_body(self.lifts[2], 4, steps=sides),
            exercise_body(self.lifts[3], 5, steps=body),
            exercise_body(self.lifts[4], 6, steps=straight_sets(2), machine=f"place:{one.place_id}"),
        ]
        return [planned, IssuedSheetFactory(client=one, exercises=bodies)]
