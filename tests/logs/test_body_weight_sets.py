"""Logging body-weight work: assistance in words, never taken for added load, and evidence of what was moved."""

import pytest
from django.urls import reverse

from programs.logs.mapping import sheet_key
from programs.logs.models import ExerciseWeek, SessionLog, SetLog
from programs.logs.selectors import estimate_changes, session_page
from programs.logs.services.derive import refresh_client
from programs.logs.trends.page import trends_page
from programs.models import StrengthEstimate, StrengthObservation
from tests.factories.clients import ClientFactory
from tests.factories.logs import TUESDAY, IssuedSheetFactory, exercise_body, logged, straight_sets
from tests.factories.programs import ExerciseFactory

pytestmark = pytest.mark.django_db


def pull_up():
    return ExerciseFactory(name="Pull-up", equipment_kind="bodyweight", body_share=1000, spotter=False)


def sheet_of(desk, load, *, body_load=70_000, unit="kg", exercise=None, **client):
    steps = straight_sets(2, load=load, unit=unit, setup="", reps_low=6, reps_high=6)
    one = exercise_body(exercise or pull_up(), steps=steps, body_load=body_load, on_body=True)
    return IssuedSheetFactory(client=ClientFactory(coach=desk, unit=unit, **client), exercises=[one])


def url(sheet):
    return reverse("logs:session_log", args=[sheet.pk])


def typed(sheet, **cells):
    head = {"key": sheet_key(sheet.uid).hex, "done_on": "2026-11-24", "minutes": "", "rating": "", "note": ""}
    return head | {name.replace("_", "-"): value for name, value in cells.items()}


def test_the_page_says_assistance_in_words(as_coach, desk):
    page = as_coach.get(url(sheet_of(desk, -14_000))).content.decode()
    assert "14 kg assistance x 6" in page
    assert 'placeholder="14 assistance"' in page
    assert "-14" not in page.replace("-14-", "")


@pytest.mark.parametrize("text", ["14 assistance", "assistance 14", "-14", "14 kg assistance"])
def test_assistance_is_kept_below_nothing(as_coach, desk, text):
    sheet = sheet_of(desk, -14_000)
    assert as_coach.post(url(sheet), typed(sheet, **{"load_1_1_1_b": text, "reps_1_1_1_b": "6"})).status_code == 302
    row = SetLog.objects.get()
    assert (row.load, row.planned_load, row.body_load, row.moved) == (-14_000, -14_000, 70_000, 56_000)


def test_a_plain_number_where_assistance_is_planned_is_asked_about(as_coach, desk):
    sheet = sheet_of(desk, -14_000)
    data = typed(sheet, **{"load_1_1_1_b": "14", "reps_1_1_1_b": "6", "rir_1_1_1_b": "2"})
    answer = as_coach.post(url(sheet), data)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "14 kg is added load, and 14 kg assistance is planned" in page
    assert not SessionLog.objects.exists()
    assert as_coach.post(url(sheet), data | {"sure-1-1-1-b": "14"}).status_code == 302
    assert SetLog.objects.get().load == 14_000


def test_a_load_that_moves_far_less_than_planned_is_asked_about(as_coach, desk):
    sheet = sheet_of(desk, 0)
    answer = as_coach.post(url(sheet), typed(sheet, **{"load_1_1_1_b": "45 assistance", "reps_1_1_1_b": "6"}))
    assert answer.status_code == 422
    assert "45 kg assistance moves 25 kg, planned were 70" in answer.content.decode()


def test_a_belt_twice_as_heavy_is_no_slip_beside_the_body(as_coach, desk):
    sheet = sheet_of(desk, 5_000)
    data = typed(sheet, **{"load_1_1_1_b": "12,5", "reps_1_1_1_b": "6"})
    assert as_coach.post(url(sheet), data).status_code == 302


@pytest.mark.parametrize("text", ["some", "14 assistances", "--14", "14 help", "NaN"])
def test_what_is_no_load_comes_back_with_how_it_is_written(as_coach, desk, text):
    sheet = sheet_of(desk, -14_000)
    answer = as_coach.post(url(sheet), typed(sheet, **{"load_1_1_1_b": text, "reps_1_1_1_b": "6"}))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "&#x27;14 assistance&#x27; for what was taken off" in page
    assert f'value="{text}"' in page


def test_a_bar_takes_no_assistance(as_coach, desk):
    sheet = IssuedSheetFactory(client=ClientFactory(coach=desk))
    answer = as_coach.post(url(sheet), typed(sheet, **{"load_1_1_1_b": "14 assistance", "reps_1_1_1_b": "6"}))
    assert answer.status_code == 422


def test_evidence_is_of_what_was_moved_that_day_however_the_body_changes(as_coach, desk):
    sheet = sheet_of(desk, -14_000, body_mass=70_000)
    data = typed(sheet, **{"load_1_1_1_b": "", "reps_1_1_1_b": "6", "rir_1_1_1_b": "2"})
    assert as_coach.post(url(sheet), data).status_code == 302
    seen = StrengthObservation.objects.get()
    assert (seen.load, seen.body_load, seen.moved) == (-14_000, 70_000, 56_000)
    before = StrengthEstimate.objects.get().mean_kg
    assert 56 < before < 80
    client = sheet.client
    client.body_mass = 100_000
    client.save()
    refresh_client(client.pk)
    assert StrengthObservation.objects.get().body_load == 70_000
    assert StrengthEstimate.objects.get().mean_kg == pytest.approx(before)


def test_without_a_body_mass_that_day_nothing_is_learned(as_coach, desk):
    sheet = sheet_of(desk, 0, body_load=None)
    data = typed(sheet, **{"load_1_1_1_b": "10 assistance", "reps_1_1_1_b": "6", "rir_1_1_1_b": "1"})
    assert as_coach.post(url(sheet), data).status_code == 302
    assert SetLog.objects.get().load == -10_000
    assert not StrengthObservation.objects.exists()


def test_body_weight_alone_is_evidence_once_the_body_is_known(desk):
    sheet = sheet_of(desk, 0)
    logged(sheet)
    assert {seen.moved for seen in StrengthObservation.objects.all()} == {70_000}


def test_the_week_adds_up_what_was_moved(desk):
    logged(sheet_of(desk, -14_000))
    assert ExerciseWeek.objects.get().volume_kg == 2 * 6 * 56_000


def test_differences_and_evidence_are_told_in_words(as_coach, desk):
    sheet = sheet_of(desk, -14_000)
    cells = {"load_1_1_1_b": "18 assistance", "reps_1_1_1_b": "6", "rir_1_1_1_b": "2", "load_1_2_1_b": "10 assistance"}
    as_coach.post(url(sheet), typed(sheet, **cells, **{"reps_1_2_1_b": "6", "rir_1_2_1_b": "1"}))
    page = session_page(SessionLog.objects.get())
    (_, rows) = page.groups[0]
    assert [row.difference for row in rows] == ["4 kg more assistance", "4 kg less assistance"]
    assert [row.values["load"] for row in rows] == ["18 assistance", "10 assistance"]
    assert "kg assistance (" in estimate_changes(page.log, page.exercises_done)[0].evidence
    shown = as_coach.get(reverse("logs:session_log_detail", args=[page.log.pk])).content.decode()
    assert "4 kg more assistance" in shown
    chart = trends_page(sheet.client, today=TUESDAY).strength
    assert "assistance (" in chart.points[-1].evidence


def test_a_set_is_corrected_from_assistance_to_added_load_and_back(as_coach, desk):
    sheet = sheet_of(desk, -14_000)
    log = logged(sheet)
    row = log.sets.order_by("set_no").first()
    edit = reverse("logs:set_edit", args=[row.pk])
    saved = {"load": "14 assistance", "reps": "6", "rir": "1", "version": 1}
    assert as_coach.post(edit, saved).status_code == 302
    answer = as_coach.post(edit, {**saved, "load": "14", "version": 2})
    assert answer.status_code == 422
    assert as_coach.post(edit, {**saved, "load": "14", "sure": "14", "version": 2}).status_code == 302
    row.refresh_from_db()
    assert row.load == 14_000
    assert "no assistance, 14 kg added" in session_page(log).groups[0][1][0].difference


def test_the_same_in_pounds(as_coach, desk):
    sheet = sheet_of(desk, -30_000, body_load=160_000, unit="lb")
    page = as_coach.get(url(sheet)).content.decode()
    assert "30 lb assistance x 6" in page
    data = typed(sheet, **{"load_1_1_1_b": "25 lb assistance", "reps_1_1_1_b": "6", "rir_1_1_1_b": "2"})
    assert as_coach.post(url(sheet), data).status_code == 302
    assert SetLog.objects.get().moved == 135_000
    # 135 lb x 6 with 2 in reserve
    assert StrengthEstimate.objects.get().mean_kg == pytest.approx(135 * 0.45359237 / 0.8, rel=0.06)
