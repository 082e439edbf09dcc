"""Undo and redo of a programme: a hundred random acts taken back give the starting state, redone the end state."""

import random
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client as Browser
from django.urls import reverse

from coachdesk.practice.models import Act, Change, Membership
from coachdesk.practice.tape import fields_of, next_redo, next_undo, undo
from programs import services
from programs.models import Block, FlagDecision, PlannedExercise, PlannedSession, Program
from programs.services.exercises import swap_exercise
from tests.factories.clients import ClientFactory
from tests.factories.programs import (
    STRAIGHT,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)

pytestmark = pytest.mark.django_db
MODELS = (Program, Block, PlannedSession, PlannedExercise, FlagDecision)
WEEKS = 6


def state() -> dict[str, Any]:
    """Every row of all programmes as plain values; versions are left out, because they only ever rise."""
    rows = {}
    for model in MODELS:
        for row in model._default_manager.order_by("pk"):
            values = fields_of(row)
            values.pop("version", None)
            rows[f"{model.__name__} {row.pk}"] = values
    return rows


class Monkey:
    """Does random acts on one programme, through the services only."""

    def __init__(self, by: Membership, program: Program, seed: int) -> None:
        self.by, self.program, self.dice = by, program, random.Random(seed)
        self.exercises = [ExerciseFactory() for _ in range(4)]

    def act(self) -> str:
        """One random act that changes something; gives its name."""
        before = Change.objects.count()
        while True:
            does = self.dice.choice([
                self.add_session, self.move_session, self.rename_session, self.remove_session, self.add_exercise,
                self.edit_exercise, self.edit_exercise, self.move_exercise, self.move_to_end, self.swap, self.remove,
                self.copy_week, self.rename,
            ])  # fmt: skip
            try:
                does()
            except ValidationError:
                continue
            if Change.objects.count() > before:
                return does.__name__

    def _session(self) -> PlannedSession:
        rows = list(PlannedSession.objects.filter(block__program=self.program).order_by("pk"))
        if not rows:
            raise ValidationError("no session left")
        return self.dice.choice(rows)

    def _planned(self) -> PlannedExercise:
        rows = list(PlannedExercise.objects.filter(session__block__program=self.program).order_by("pk"))
        if not rows:
            raise ValidationError("no exercise left")
        return self.dice.choice(rows)

    def add_session(self) -> None:
        services.add_session(
            by=self.by, program=self.program, week_no=self.dice.randint(1, WEEKS), day=self.dice.randint(0, 6),
            name=f"Session {self.dice.randint(1, 99)}",
        )  # fmt: skip

    def move_session(self) -> None:
        row = self._session()
        values = {"week_no": self.dice.randint(1, WEEKS), "day": self.dice.randint(0, 6)}
        services.edit_session(by=self.by, session=row, version=row.version, values=values)

    def rename_session(self) -> None:
        row = self._session()
        values = {"name": f"Named {self.dice.randint(1, 99)}", "note": "Ålesund"}
        services.edit_session(by=self.by, session=row, version=row.version, values=values)

    def remove_session(self) -> None:
        services.remove_session(by=self.by, session=self._session())

    def add_exercise(self) -> None:
        services.add_exercise(by=self.by, session=self._session(), exercise=self.dice.choice(self.exercises))

    def edit_exercise(self) -> None:
        row, dice = self._planned(), self.dice
        drop = {"kind": "drop_set", "load_value": "", "reps": "failure", "ladder": "80/65/50"}
        fields = {
            **STRAIGHT,
            "sets": str(dice.randint(1, 6)),
            **dice.choice([{"reps": str(dice.randint(3, 12))}, drop]),
        }
        services.edit_exercise(
            by=self.by, planned=row, version=row.version, fields=fields, unit="kg", cue=dice.choice(["", "Slow"]),
            group=dice.choice(["", "A"]),
        )  # fmt: skip

    def move_exercise(self) -> None:
        services.move_exercise(by=self.by, planned=self._planned(), up=self.dice.random() < 0.5)

    def move_to_end(self) -> None:
        row = self._planned()
        services.place_exercise(by=self.by, planned=row, session=row.session)

    def swap(self) -> None:
        swap_exercise(by=self.by, planned=self._planned(), exercise_id=self.dice.choice(self.exercises).pk)

    def remove(self) -> None:
        services.remove_exercise(by=self.by, planned=self._planned())

    def copy_week(self) -> None:
        first = self.dice.randint(1, WEEKS)
        targets = range(first, self.dice.randint(first, WEEKS) + 1)
        services.copy_week(
            by=self.by, program=self.program, week_no=self.dice.randint(1, WEEKS), to_weeks=list(targets)
        )

    def rename(self) -> None:
        self.program.refresh_from_db()
        values = {"name": f"Plan {self.dice.randint(1, 99)}"}
        services.edit_program(by=self.by, program=self.program, version=self.program.version, values=values)


@pytest.fixture
def program(desk: Membership) -> Program:
    """Six weeks; two sessions in the first, three exercises each."""
    made = ProgramFactory(coach=desk, client=ClientFactory(coach=desk), weeks=WEEKS)
    for day in (0, 3):
        session = PlannedSessionFactory(program=made, day=day)
        for position in (1, 2, 3):
            PlannedExerciseFactory(session=session, position=position)
    return made


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_hundred_random_acts_undone_give_the_starting_state_and_redone_the_end(
    desk: Membership, program: Program, seed: int
) -> None:
    monkey, subject = Monkey(desk, program, seed), services.subject_of(program)
    states, kinds = [state()], set()
    for _ in range(100):
        kinds.add(monkey.act())
        states.append(state())
    assert len(kinds) >= 10
    for before in reversed(states[:-1]):
        act = next_undo(desk.practice, subject)
        assert act is not None
        undo(act, by=desk)
        assert state() == before
    assert next_undo(desk.practice, subject) is None
    for after in states[1:]:
        act = next_redo(desk.practice, subject)
        assert act is not None
        undo(act, by=desk)
        assert state() == after
    assert next_redo(desk.practice, subject) is None


def test_a_new_act_after_undo_ends_what_could_be_redone(desk: Membership, program: Program) -> None:
    subject = services.subject_of(program)
    services.add_session(by=desk, program=program, week_no=2, day=1, name="First")
    undo(Act.objects.latest("id"), by=desk)
    assert next_redo(desk.practice, subject) is not None
    services.add_session(by=desk, program=program, week_no=2, day=1, name="Second")
    assert next_redo(desk.practice, subject) is None


def test_undo_survives_signing_out_and_goes_back_to_a_named_act(
    desk: Membership, program: Program, as_coach: Browser
) -> None:
    for day, name in enumerate(("One", "Two", "Three"), start=4):
        services.add_session(by=desk, program=program, week_no=5, day=day, name=name)
    as_coach.post(reverse("practice:sign_out"))
    fresh = Browser()
    fresh.force_login(desk.user)
    page = fresh.get(reverse("programs:program_detail", args=[program.pk])).content.decode()
    for name in ("One", "Two", "Three"):
        assert f"Add {name} on" in page
    second = Act.objects.get(label="Add Two on Sat of week 5")
    fresh.post(reverse("programs:program_undo", args=[program.pk]), {"back_to": second.pk})
    assert set(PlannedSession.objects.filter(week_no=5).values_list("name", flat=True)) == {"One"}
    fresh.post(reverse("programs:program_redo", args=[program.pk]))
    assert set(PlannedSession.objects.filter(week_no=5).values_list("name", flat=True)) == {"One", "Two"}


def test_going_back_to_an_act_that_is_not_on_the_list_changes_nothing(
    desk: Membership, program: Program, as_coach: Browser
) -> None:
    services.add_session(by=desk, program=program, week_no=5, day=4, name="One")
    answer = as_coach.post(reverse("programs:program_undo", args=[program.pk]), {"back_to": 999_999}, follow=True)
    assert "not on this programme" in answer.content.decode()
    assert PlannedSession.objects.filter(week_no=5).count() == 1


def test_what_another_person_did_is_named_with_them(
    desk: Membership, owner: Membership, program: Program, as_coach: Browser
) -> None:
    services.add_session(by=owner, program=program, week_no=5, day=4, name="One")
    page = as_coach.get(reverse("programs:program_detail", args=[program.pk])).content.decode()
    assert "Add One on Fri of week 5, by Olu Mensah" in page
