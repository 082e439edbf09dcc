"""Body-weight work: the maximum is of what is moved, the sheet says what to add or which assistance to set."""

from datetime import date, datetime
from typing import Any

import pytest
from django.test import Client as Browser

from clients.models import Client, Place
from coachdesk import engine
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import next_undo, undo
from programs.intake.plan import make_plan
from programs.intake.reading import read_table
from programs.intake.services import import_clients
from programs.models import Exercise, StrengthEstimate, StrengthObservation
from programs.selectors import session_view
from programs.services import issue_sheet, record_test
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory, ScreeningFactory
from tests.factories.programs import (
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("library")]

TODAY = date(2026, 11, 23)
BELT = engine.BodyWeight("Belt and machine", "kg", tuple(range(0, 40_001, 2_500)), tuple(range(5_000, 50_001, 5_000)))
LB_BELT = engine.BodyWeight("Belt", "lb", tuple(range(0, 90_001, 5_000)), tuple(range(10_000, 100_001, 10_000)))


@pytest.fixture
def pull_up() -> Exercise:
    return Exercise.objects.get(code="pull_up", practice=None)


def lifter(desk: Membership, kit: Any = BELT, **fields: Any) -> Client:
    place = PlaceFactory(practice=desk.practice)
    EquipmentFactory(place=place, value=kit)
    made = ClientFactory(coach=desk, place=place, name="Nora", **fields)
    ScreeningFactory(client=made)
    return made


def prescribed(client: Client, exercise: Exercise, **scheme: str) -> engine.PrescribedExercise:
    session = PlannedSessionFactory(program=ProgramFactory(coach=client.coach, client=client))
    PlannedExerciseFactory(session=session, exercise=exercise, scheme=scheme_json(**scheme))
    return session_view(session, client=client, on=TODAY).exercises[0].prescribed


def test_a_test_on_the_body_is_a_maximum_of_what_was_moved(desk: Membership, pull_up: Exercise) -> None:
    nora = lifter(desk, body_mass=70_000)
    seen = record_test(by=desk, client=nora, exercise=pull_up, load=20_000, unit="kg", reps=1, on=TODAY)
    assert (seen.load, seen.body_load, seen.moved) == (20_000, 70_000, 90_000)
    # one repetition moved 70 kg of body and 20 kg: the maximum is 90 kg
    assert StrengthEstimate.objects.get().mean_kg == pytest.approx(90, rel=0.02)


def test_percentages_act_on_what_is_moved_and_the_sheet_says_what_to_add(desk: Membership, pull_up: Exercise) -> None:
    nora = lifter(desk, body_mass=70_000)
    record_test(by=desk, client=nora, exercise=pull_up, load=30_000, unit="kg", reps=1, on=TODAY)
    (step,) = prescribed(nora, pull_up, sets="1", load_value="80", reps="5").sets[0]
    # 80 % of 100 kg is 80 kg: 70 kg of the body and 10 kg, not 80 % of the 30 kg on the belt
    assert (step.load, step.system_load, step.setup) == (10_000, 80_000, "body weight + 10")
    (light,) = prescribed(nora, pull_up, sets="1", load_value="60", reps="10").sets[0]
    assert (light.load, light.system_load, light.setup) == (-10_000, 60_000, "10 kg assistance")


def test_drops_act_on_what_is_moved(desk: Membership, pull_up: Exercise) -> None:
    nora = lifter(desk, body_mass=70_000)
    record_test(by=desk, client=nora, exercise=pull_up, load=30_000, unit="kg", reps=1, on=TODAY)
    found = prescribed(nora, pull_up, kind="drop_set", sets="1", load_value="70", reps="failure", ladder="-20% x 1")
    # 70 kg moved, then 56: of the body 70 kg, the nearest below is 15 kg of assistance
    assert [(s.load, s.system_load) for s in found.sets[0]] == [(0, 70_000), (-15_000, 55_000)]


def test_the_same_in_pounds(desk: Membership, pull_up: Exercise) -> None:
    nora = lifter(desk, LB_BELT, unit="lb", body_mass=160_000, body_mass_unit="lb")
    seen = record_test(by=desk, client=nora, exercise=pull_up, load=40_000, unit="lb", reps=1, on=TODAY)
    assert (seen.body_load, seen.moved) == (160_000, 200_000)
    (step,) = prescribed(nora, pull_up, sets="1", load_value="70", reps="5").sets[0]
    assert (step.load, step.unit, step.setup) == (-20_000, "lb", "20 lb assistance")
    assert step.system_load == pytest.approx(140_000, abs=1)


def test_a_body_measured_in_pounds_counts_on_a_belt_in_kilograms(desk: Membership, pull_up: Exercise) -> None:
    nora = lifter(desk, body_mass=160_000, body_mass_unit="lb")
    seen = record_test(by=desk, client=nora, exercise=pull_up, load=0, unit="kg", reps=5, on=TODAY)
    assert seen.body_load == 72_575  # 160 lb x 0.45359237


def test_a_push_up_moves_a_share_of_the_body(desk: Membership) -> None:
    push_up = Exercise.objects.get(code="push_up", practice=None)
    seen = record_test(
        by=desk, client=lifter(desk, body_mass=100_000), exercise=push_up, load=0, unit="kg", reps=12, on=TODAY
    )
    # Ebben et al 2011 J Strength Cond Res 25:2891 (from memory): 64 % of the body mass
    assert (seen.moved, push_up.body_basis) == (64_000, "Ebben et al 2011 J Strength Cond Res 25:2891 (from memory)")


def test_every_share_of_the_library_says_where_it_comes_from() -> None:
    shares = Exercise.objects.filter(practice=None, body_share__gt=0)
    assert {"pull_up", "dip", "push_up", "incline_push_up", "inverted_row"} <= set(
        shares.values_list("code", flat=True)
    )
    for row in shares:
        assert row.equipment_kind == "bodyweight", row
        assert "from memory" in row.body_basis or "common practice, no source" in row.body_basis, row


def test_without_a_body_mass_nothing_is_worked_out_and_that_is_said(desk: Membership, pull_up: Exercise) -> None:
    nora = lifter(desk)
    found = prescribed(nora, pull_up, sets="1", load_value="80", reps="5")
    assert found.sets[0][0].load is None
    assert [note.kind for note in found.notes] == ["no_body_mass"]


def test_a_new_body_mass_changes_what_is_added_and_nothing_that_was_seen(
    desk: Membership, as_coach: Browser, pull_up: Exercise
) -> None:
    nora = lifter(desk, body_mass=70_000, body_mass_on=TODAY)
    record_test(by=desk, client=nora, exercise=pull_up, load=30_000, unit="kg", reps=1, on=TODAY)
    before = StrengthEstimate.objects.get().mean_kg
    form = as_coach.get(f"/clients/{nora.pk}/edit/").context["form"]
    data = {name: form[name].value() or "" for name in form.fields}
    assert as_coach.post(f"/clients/{nora.pk}/edit/", {**data, "body_mass": "80"}).status_code == 302
    nora.refresh_from_db()
    record_test(by=desk, client=nora, exercise=pull_up, load=20_000, unit="kg", reps=1, on=TODAY)
    assert list(StrengthObservation.objects.order_by("id").values_list("load", "body_load")) == [
        (30_000, 70_000), (20_000, 80_000),
    ]  # fmt: skip
    assert StrengthEstimate.objects.get().mean_kg == pytest.approx(before, rel=0.01)
    (step,) = prescribed(nora, pull_up, sets="1", load_value="80", reps="5").sets[0]
    assert (step.load, step.system_load) == (0, 80_000)


def test_the_sheet_keeps_what_the_body_added_that_day(desk: Membership, as_coach: Browser, now: datetime) -> None:
    dip = Exercise.objects.get(code="dip", practice=None)
    nora = lifter(desk, body_mass=70_000)
    record_test(by=desk, client=nora, exercise=dip, load=10_000, unit="kg", reps=1, on=TODAY)
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=nora))
    PlannedExerciseFactory(session=session, exercise=dip, scheme=scheme_json(load_value="70", reps="8"))
    sheet = issue_sheet(by=desk, session=session, now=now, why="Looked at.")
    one = sheet.body["exercises"][0]
    assert (one["body_load"], one["on_body"]) == (70_000, True)
    page = as_coach.get(f"/sheets/{sheet.pk}/").content.decode()
    assert "15 kg assistance" in page
    assert "-15" not in page


def typed_test(client: Client, exercise: Exercise, **fields: str) -> dict[str, str]:
    return {"exercise": str(exercise.pk), "load": "20", "unit": "kg", "reps": "3", "on": "2026-11-23", **fields}


@pytest.mark.parametrize(
    ("load", "kept"),
    [("20 assistance", -20_000), ("assistance 20", -20_000), ("-20", -20_000), ("0", 0), ("12,5", 12_500)],
)
def test_assistance_is_typed_in_words_or_with_a_minus(
    desk: Membership, as_coach: Browser, pull_up: Exercise, load: str, kept: int
) -> None:
    nora = lifter(desk, body_mass=70_000)
    url = f"/clients/{nora.pk}/strength/"
    assert as_coach.post(url, typed_test(nora, pull_up, load=load)).status_code == 302
    assert StrengthObservation.objects.get().load == kept
    page = as_coach.get(url).content.decode()
    assert ("20 kg assistance" in page) == (kept == -20_000)


@pytest.mark.parametrize(
    ("mass", "load", "said"),
    [
        (70_000, "80 assistance", "80 kg assistance leaves nothing to move of 70 kg of the body."),
        (70_000, "plenty", "'plenty'"),
        (70_000, "20 assistances", "'20 assistances'"),
        (None, "20", "write Nora's body mass on their profile first"),
    ],
)
def test_a_test_that_moves_nothing_is_refused_at_its_field(
    desk: Membership, as_coach: Browser, pull_up: Exercise, mass: int | None, load: str, said: str
) -> None:
    nora = lifter(desk, body_mass=mass)
    answer = as_coach.post(f"/clients/{nora.pk}/strength/", typed_test(nora, pull_up, load=load))
    assert answer.status_code == 422
    assert said in " ".join(answer.context["form"].errors["load"])
    assert answer.context["form"]["load"].value() == load
    assert not StrengthObservation.objects.exists()


def test_assistance_means_nothing_on_a_bar(desk: Membership, as_coach: Browser) -> None:
    nora, squat = lifter(desk, body_mass=70_000), Exercise.objects.get(code="back_squat", practice=None)
    answer = as_coach.post(f"/clients/{nora.pk}/strength/", typed_test(nora, squat, load="20 assistance"))
    assert answer.status_code == 422
    assert "load" in answer.context["form"].errors


HEAD = "name,unit,consent_on,body_mass,body_mass_on,exercise,load,reps,tested_on\n"


def plan_of(text: str, by: Membership) -> Any:
    return make_plan(read_table(HEAD + text), by=by, today=TODAY)


def test_a_file_brings_body_mass_and_lifts_on_the_body(desk: Membership, now: datetime) -> None:
    text = "Rosa,lb,2026-11-01,150,2026-11-02,Pull-up,20 assistance,6,2026-11-03\nRosa,,,,,Dip,25,5,2026-11-03\n"
    plan = plan_of(text, desk)
    assert plan.errors == ()
    (rosa,) = import_clients(by=desk, plan=plan, now=now)
    assert (rosa.body_mass, rosa.body_mass_unit, rosa.body_mass_on) == (150_000, "lb", date(2026, 11, 2))
    seen = StrengthObservation.objects.order_by("load").values_list("load", "body_load", "unit")
    assert list(seen) == [(-20_000, 150_000, "lb"), (25_000, 150_000, "lb")]
    assert StrengthEstimate.objects.filter(client=rosa).count() == 2
    again = plan_of(text, desk)
    assert (again.errors, again.lift_count, again.known_count) == ((), 0, 2)


@pytest.mark.parametrize(
    ("row", "column", "value", "reason"),
    [
        ("Rosa,kg,2026-11-01,heavy,,,,,", "body_mass", "'heavy'", "is no body mass"),
        ("Rosa,kg,,70,,,,,", "body_mass", "'70'", "is kept only with consent; give the day they agreed in consent_on"),
        ("Rosa,kg,2030-01-01,70,,,,,", "consent_on", "'2030-01-01'", "is not from 1990-01-01 to 2026-11-23"),
        ("Rosa,kg,agreed,70,,,,,", "consent_on", "'agreed'", "is no date"),
        ("Rosa,kg,2026-11-01,725,,,,,", "body_mass", "'725'", "725 kg cannot be a body mass here"),
        ("Rosa,kg,2026-11-01,70,2030-01-01,,,,", "body_mass_on", "'2030-01-01'", "is not from"),
        ("Rosa,kg,2026-11-01,,2026-11-02,,,,", "body_mass_on", "'2026-11-02'", "body_mass is blank"),
        ("Rosa,kg,2026-11-01,,,Pull-up,10,5,", "exercise", "'Pull-up'", "give body_mass on the client's line"),
        (
            "Rosa,kg,2026-11-01,70,,Pull-up,75 assistance,5,",
            "load",
            "'75 assistance'",
            "leaves nothing to move of 70 kg",
        ),
        ("Rosa,kg,2026-11-01,70,,Pull-up,some,5,", "load", "'some'", "20 assistance"),
        ("Rosa,kg,2026-11-01,70,,Back squat,20 assistance,5,", "load", "'20 assistance'", "is no load in kg"),
        ("Rosa,kg,2026-11-01,70,,Dead bug,5,5,", "exercise", "'Dead bug'", "is loaded by the body alone"),
    ],
)
def test_bad_cells_are_named_by_line_column_value_and_reason(
    desk: Membership, row: str, column: str, value: str, reason: str
) -> None:
    (error,) = plan_of(row + "\n", desk).errors
    assert (error.line, error.column) == (2, column)
    assert value.strip("'") in error.value
    assert reason in error.reason


def test_a_test_on_the_body_is_undone_and_done_again(desk: Membership, pull_up: Exercise) -> None:
    nora = lifter(desk, body_mass=70_000)
    record_test(by=desk, client=nora, exercise=pull_up, load=-20_000, unit="kg", reps=5, on=TODAY)
    act = next_undo(desk.practice, f"client:{nora.pk}")
    assert act is not None
    undo(act, by=desk)
    assert not StrengthObservation.objects.exists()
    assert not StrengthEstimate.objects.exists()


def test_a_place_without_assistance_offers_the_body_alone(desk: Membership, pull_up: Exercise, gym: Place) -> None:
    nora = ClientFactory(coach=desk, place=gym, body_mass=70_000)
    record_test(by=desk, client=nora, exercise=pull_up, load=0, unit="kg", reps=1, on=TODAY)
    found = prescribed(nora, pull_up, sets="1", load_value="70", reps="8")
    assert found.sets[0][0].load == 0
    assert "not_makeable" in {note.kind for note in found.notes}
