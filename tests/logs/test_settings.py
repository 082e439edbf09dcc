"""Bands and machines without units: planned and logged by setting and RIR; the next setting follows from the log."""

import pytest
from django.urls import reverse

from clients.mapping import equipment_value
from clients.models import Equipment
from coachdesk import engine
from programs.logs.mapping import sheet_key
from programs.logs.models import ExerciseWeek, SessionLog, SetLog
from programs.logs.selectors import session_page
from programs.models import StrengthObservation, TrainingFacts
from programs.selectors import session_view
from programs.services import issue_sheet
from tests.factories.clients import BANDS, KG_STACK, ClientFactory, EquipmentFactory, PlaceFactory, ScreeningFactory
from tests.factories.logs import TUESDAY
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)

pytestmark = pytest.mark.django_db
PINS = engine.Ordinal("Leg press", ("pin 1", "pin 2", "pin 3"))


@pytest.fixture
def place(desk):
    made = PlaceFactory(practice=desk.practice)
    EquipmentFactory(place=made, value=BANDS)
    return made


@pytest.fixture
def client(desk, place):
    made = ClientFactory(coach=desk, place=place)
    ScreeningFactory(client=made)
    return made


def planned(client, exercise=None, **scheme):
    row = exercise or ExerciseFactory(name="Band row", equipment_kind="band", spotter=False)
    program = client.programs.first() or ProgramFactory(coach=client.coach, client=client)
    session = PlannedSessionFactory(program=program)
    fields = {"sets": "2", "load_kind": "effort", "load_value": "", "reps": "8-12", "rir": "2", **scheme}
    PlannedExerciseFactory(session=session, exercise=row, scheme=scheme_json(**fields))
    return session


def sheet_of(desk, client, now, exercise=None, **scheme):
    return issue_sheet(by=desk, session=planned(client, exercise, **scheme), now=now, why="Looked at.")


def log(browser, sheet, **cells):
    head = {"key": sheet_key(sheet.uid).hex, "done_on": "2026-11-24", "minutes": "", "rating": "", "note": ""}
    return browser.post(
        reverse("logs:session_log", args=[sheet.pk]), head | {k.replace("_", "-"): v for k, v in cells.items()}
    )


def both(setting, reps, rir):
    return {
        f"{part}_1_{n}_1_b": value
        for n in (1, 2) for part, value in (("load", setting), ("reps", reps), ("rir", rir))
    }  # fmt: skip


def test_the_sheet_and_the_log_page_name_the_settings(as_coach, desk, client, now):
    sheet = sheet_of(desk, client, now, load_kind="place", load_value="2", reps="12")
    one = sheet.body["exercises"][0]
    assert (one["settings"], one["steps"][0]["setup"], one["steps"][0]["load"]) == (
        ["light", "medium", "strong"], "medium", None,
    )  # fmt: skip
    assert "medium" in as_coach.get(reverse("programs:sheet_detail", args=[sheet.pk])).content.decode()
    page = as_coach.get(reverse("logs:session_log", args=[sheet.pk])).content.decode()
    assert "medium x 12" in page
    assert "<option>strong</option>" in page


def test_a_setting_is_logged_and_stays_out_of_maxima_and_volume(as_coach, desk, client, now):
    sheet = sheet_of(desk, client, now, load_kind="place", load_value="2", reps="12")
    cells = {"load_1_1_1_b": "Strong", "reps_1_1_1_b": "10", "rir_1_1_1_b": "1", "reps_1_2_1_b": "12"}
    assert log(as_coach, sheet, **cells).status_code == 302
    rows = list(SetLog.objects.order_by("set_no").values_list("setting", "load", "reps"))
    assert rows == [("strong", None, 10), ("medium", None, 12)]
    assert not StrengthObservation.objects.exists()
    week = ExerciseWeek.objects.get()
    assert (week.volume_kg, week.volume_lb, week.sets) == (0, 0, 2000)
    page = session_page(SessionLog.objects.get())
    assert [row.difference for row in page.groups[0][1]] == ["strong, 1 setting up, -2 reps", "as planned"]


def test_a_setting_that_is_not_there_is_refused_with_those_that_are(as_coach, desk, client, now):
    sheet = sheet_of(desk, client, now)
    answer = log(as_coach, sheet, load_1_1_1_b="70", reps_1_1_1_b="10")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "&#x27;70&#x27; is no setting here; light, medium, strong." in page
    assert not SessionLog.objects.exists()


def test_a_set_is_corrected_to_another_setting(as_coach, desk, client, now):
    sheet = sheet_of(desk, client, now)
    log(as_coach, sheet, **both("light", "10", "2"))
    row = SetLog.objects.order_by("set_no").first()
    url = reverse("logs:set_edit", args=[row.pk])
    assert as_coach.post(url, {"load": "medium", "reps": "10", "rir": "2", "version": 1}).status_code == 302
    row.refresh_from_db()
    assert (row.setting, row.load) == ("medium", None)
    stale = as_coach.post(url, {"load": "strong", "reps": "10", "rir": "2", "version": 1})
    assert stale.status_code == 409
    assert as_coach.post(url, {"load": "70 kg", "reps": "10", "rir": "2", "version": 2}).status_code == 422


@pytest.mark.parametrize(
    ("setting", "reps", "rir", "following"),
    [
        ("light", "12", "2", "medium"),
        ("medium", "12", "", "strong"),
        ("medium", "10", "2", "medium"),
        ("medium", "6", "0", "light"),
        ("strong", "12", "4", "strong"),
    ],
)
def test_the_next_setting_follows_from_the_log(as_coach, desk, client, now, setting, reps, rir, following):
    sheet = sheet_of(desk, client, now)
    exercise = sheet.planned_session.exercises.get().exercise
    assert sheet.body["exercises"][0]["steps"][0]["setup"] == ""
    assert log(as_coach, sheet, **both(setting, reps, rir)).status_code == 302
    told = TrainingFacts.objects.get().value["settings"][str(exercise.pk)]
    assert (told["setting"], told["reps"]) == (setting, [int(reps)] * 2)
    view = session_view(planned(client, exercise), client=client, on=TUESDAY).exercises[0]
    assert {step.setup for step in view.steps} == {following}
    assert view.setup == following


def test_what_is_written_by_place_is_not_moved_by_the_log(as_coach, desk, client, now):
    sheet = sheet_of(desk, client, now)
    exercise = sheet.planned_session.exercises.get().exercise
    log(as_coach, sheet, **both("light", "12", "3"))
    view = session_view(
        planned(client, exercise, load_kind="place", load_value="1"), client=client, on=TUESDAY
    ).exercises[0]  # fmt: skip
    assert view.setup == "light"


def test_a_machine_without_units_is_made_in_order_and_used_by_the_exercise_of_its_name(as_coach, desk, client, place):
    EquipmentFactory(place=place, value=KG_STACK)
    typed = {"name": "Leg press", "steps": "pin 1, pin 2; pin 3"}
    assert as_coach.post(reverse("clients:equipment_new", args=[place.pk, "machine"]), typed).status_code == 302
    row = Equipment.objects.get(name="Leg press")
    assert (row.kind, equipment_value(row)) == ("machine", PINS)
    again = as_coach.post(reverse("clients:equipment_edit", args=[row.pk]), {**typed, "steps": "1, 2", "version": 1})
    assert again.status_code == 302
    row.refresh_from_db()
    assert (row.kind, row.spec["steps"]) == ("machine", ["1", "2"])
    press = ExerciseFactory(name="Leg press", equipment_kind="stack", spotter=False)
    other = ExerciseFactory(name="Lat pulldown", equipment_kind="stack", spotter=False)
    by_place = {"load_kind": "place", "load_value": "2", "reps": "10"}
    assert session_view(planned(client, press, **by_place), client=client, on=TUESDAY).exercises[0].setup == "2"
    step = session_view(planned(client, other, **by_place), client=client, on=TUESDAY).exercises[0].steps[0]
    assert step.load == 7_500


def test_without_a_stack_the_machine_stands_for_it(desk, client, place):
    place.equipment.create(kind="machine", name="Old machine", spec={"v": 1, "kind": "band", "steps": ["a", "b"]})
    pull = ExerciseFactory(name="Lat pulldown", equipment_kind="stack", spotter=False)
    view = session_view(
        planned(client, pull, load_kind="place", load_value="2", reps="10"), client=client, on=TUESDAY
    ).exercises[0]  # fmt: skip
    assert (view.setup, view.settings) == ("b", ("a", "b"))


@pytest.mark.parametrize("steps", ["", " , ;", "pin 1, Pin 1", ", ".join(f"pin {n}" for n in range(51)), "x" * 41])
def test_bad_settings_are_refused_at_their_field(as_coach, place, steps):
    answer = as_coach.post(
        reverse("clients:equipment_new", args=[place.pk, "machine"]), {"name": "Leg press", "steps": steps}
    )
    assert answer.status_code == 422
    assert "steps" in answer.context["form"].errors
