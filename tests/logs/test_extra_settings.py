"""Bands and machines without units in an exercise added by hand: chosen among those of the place it was done at."""

import re
from uuid import uuid4

import pytest
from django.urls import reverse

from coachdesk import engine
from programs.logs import services
from programs.logs.models import SetLog
from tests.factories.clients import BANDS, KG_STACK, ClientFactory, EquipmentFactory, PlaceFactory
from tests.factories.logs import NOON, TUESDAY
from tests.factories.programs import ExerciseFactory

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}
LIGHT, HEAVY = BANDS.steps[0], BANDS.steps[-1]
PINS = engine.Ordinal("Leg press", ("pin 1", "pin 2", "pin 3"))


@pytest.fixture
def gym(desk):
    made = PlaceFactory(practice=desk.practice, name="Full gym")
    EquipmentFactory(place=made, value=BANDS)
    return made


@pytest.fixture
def hotel(desk):
    made = PlaceFactory(practice=desk.practice, name="Hotel")
    EquipmentFactory(place=made, value=engine.Ordinal("Hotel bands", ("green", "blue")))
    EquipmentFactory(place=made, value=PINS, kind="machine")
    return made


@pytest.fixture
def log(desk, gym):
    client = ClientFactory(coach=desk, place=gym)
    return services.open_session_log(by=desk, client=client, key=uuid4(), done_on=TUESDAY, now=NOON)


@pytest.fixture
def row():
    return ExerciseFactory(name="Band row", equipment_kind="band")


def at(log, place):
    log.place = place
    log.save()


def add(browser, log, first, exercise="Band row", position=1):
    typed = {"exercise": exercise, "first": first, "position": str(position)}
    return browser.post(reverse("logs:extra_exercise", args=[log.pk]), typed)


def further(browser, log, slot, **cells):
    typed = {"slot": slot, "load": "", "reps": "", "rir": "", **cells}
    return browser.post(reverse("logs:set_log", args=[log.pk]), typed, headers=HTMX)


def edit(browser, row, **cells):
    typed = {"version": row.version, "load": row.setting, "reps": row.reps, "rir": "", **cells}
    return browser.post(reverse("logs:set_edit", args=[row.pk]), typed, headers=HTMX)


def page(browser, log):
    return browser.get(reverse("logs:session_log_detail", args=[log.pk])).content.decode()


def options(text, slot):
    """The settings offered in a row."""
    cell = text[text.index(f'id="set-{slot}-load"') :]
    return re.findall(r"<option[^>]*>([^<]+)</option>", cell[: cell.index("</select>")])


def test_a_band_of_the_place_is_typed_in_place_of_the_load(as_coach, log, row):
    assert f"{LIGHT} x 12 @2" in page(as_coach, log)
    assert add(as_coach, log, f"{HEAVY.upper()} x 12 @2").status_code == 302
    kept = SetLog.objects.get()
    assert (kept.setting, kept.load, kept.reps, kept.rir) == (HEAVY, None, 12, 2.0)


@pytest.mark.parametrize("first", ["12 @2", "12", "x 12"])
def test_without_a_band_it_asks_for_one_by_name(as_coach, log, row, first):
    answer = add(as_coach, log, first)
    assert answer.status_code == 422
    assert first in answer.content.decode()
    assert not SetLog.objects.exists()


@pytest.mark.parametrize("first", ["purple x 12", "40 x 12", "40 kg x 12", "\x00x 12", "x" * 39])
def test_a_band_that_is_not_there_is_refused_with_those_that_are(as_coach, log, row, first):
    answer = add(as_coach, log, first)
    assert answer.status_code == 422
    assert not SetLog.objects.exists()


def test_the_refusal_names_the_bands(as_coach, log, row):
    said = add(as_coach, log, "purple x 12").content.decode()
    assert f"is no setting here; {', '.join(BANDS.steps)}." in said
    assert (
        f"Say which setting in place of the load: {', '.join(BANDS.steps)}" in add(as_coach, log, "12").content.decode()
    )


def test_the_next_sets_choose_among_all_bands_of_the_place(as_coach, log, row):
    add(as_coach, log, f"{LIGHT} x 12")
    assert options(page(as_coach, log), "1-2-1-b") == list(BANDS.steps)
    assert further(as_coach, log, "1-2-1-b", load=HEAVY, reps="8").status_code == 200
    assert list(SetLog.objects.order_by("set_no").values_list("setting", flat=True)) == [LIGHT, HEAVY]


def test_a_wrong_band_is_corrected_to_any_other_of_the_place(as_coach, log, row):
    add(as_coach, log, f"{LIGHT} x 12")
    kept = SetLog.objects.get()
    assert edit(as_coach, kept, load=HEAVY).status_code == 200
    kept.refresh_from_db()
    assert kept.setting == HEAVY
    assert edit(as_coach, kept, load="purple").status_code == 422


def test_bands_follow_the_place_of_the_session(as_coach, log, row, hotel):
    at(log, hotel)
    assert "green, blue" in page(as_coach, log)
    assert add(as_coach, log, f"{LIGHT} x 12").status_code == 422
    assert add(as_coach, log, "blue x 12").status_code == 302
    assert SetLog.objects.get().setting == "blue"
    # Moved back, the band that was typed can still be kept, beside those that are there.
    at(log, None)
    assert options(page(as_coach, log), "1-1-1-b") == [*BANDS.steps, "blue"]


def test_a_stack_is_a_machine_without_units_where_the_place_has_no_other(as_coach, log, gym, hotel):
    ExerciseFactory(name="Leg press", equipment_kind="stack")
    EquipmentFactory(place=gym, value=KG_STACK)
    assert add(as_coach, log, "80 x 12", "Leg press").status_code == 302
    at(log, hotel)
    assert add(as_coach, log, "80 x 12", "Leg press", 2).status_code == 422
    assert add(as_coach, log, "pin 2 x 12", "Leg press", 2).status_code == 302
    assert list(SetLog.objects.order_by("position").values_list("load", "setting")) == [(80_000, ""), (None, "pin 2")]
    # What was typed as a load stays one.
    kept = SetLog.objects.get(position=1)
    assert edit(as_coach, kept, load="85").status_code == 200
    kept.refresh_from_db()
    assert (kept.load, kept.setting) == (85_000, "")


def test_where_there_are_no_bands_reps_alone_are_kept(as_coach, log, gym, row):
    gym.equipment.all().delete()
    assert "With bands" not in page(as_coach, log)
    assert add(as_coach, log, "12 @2").status_code == 302
    assert SetLog.objects.get().setting == ""


def test_sent_twice_it_is_one_set(as_coach, log, row):
    assert add(as_coach, log, f"{LIGHT} x 12").status_code == 302
    assert add(as_coach, log, f"{LIGHT} x 12").status_code == 302
    assert SetLog.objects.count() == 1
    # Another band at the same place is another set: it is put behind, not over the first.
    assert add(as_coach, log, f"{HEAVY} x 12").status_code == 422
    assert SetLog.objects.get().setting == LIGHT
