"""The whole line in a browser: clients from CSV, a programme, loads, a sheet, a log, a trend; and by keyboard alone."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from clients.models import Client
from programs.logs.models import SetLog
from programs.models import IssuedSheet, PlannedExercise, PlannedSession, Program, StrengthEstimate
from programs.services import load_library
from tests.browser.answers import answered
from tests.factories.clients import ScreeningFactory


@pytest.fixture
def library(transactional_db):
    """The exercise library, which a transactional test does not find in the database."""
    load_library()


def monday():
    today = timezone.localdate()
    return today + timedelta(days=-today.weekday() % 7)


def test_coach_walks_the_line_from_csv_to_trend(signed_in, gym, library, tmp_path):
    csv = tmp_path / "clients.csv"
    example = signed_in.go(reverse("programs:client_import"))
    header = example.request.get(f"{signed_in.base}{reverse('programs:client_import_example')}").text().splitlines()[0]
    csv.write_text(_rows_for(header))
    page = signed_in.page
    page.set_input_files("input[type=file]", str(csv))
    page.get_by_role("button", name="Check the file").click()
    page.locator("#import-do").click()
    page.wait_for_load_state("networkidle")
    someone = Client.objects.get(name="Ines Carvalho")
    ScreeningFactory(client=someone)
    assert StrengthEstimate.objects.filter(client=someone).count() == 2

    page = signed_in.go(reverse("programs:program_new"))
    page.get_by_label("Name", exact=True).fill("Base block")
    page.get_by_label("Weeks").fill("4")
    page.locator("#id_client").select_option(label="Ines Carvalho")
    page.get_by_label("Starts on").fill(monday().isoformat())
    page.get_by_role("button", name="Make programme").click()
    page.get_by_label("New session").fill("Upper A")
    page.get_by_role("button", name="Add session").click()
    page.get_by_label("Add exercise").fill("Bench press")
    page.get_by_role("button", name="Add", exact=True).click()
    row = page.locator("#rows > tbody").first
    row.wait_for()
    with answered(page):
        row.get_by_label("Reps, Bench press").fill("6")
        row.get_by_label("Reps, Bench press").press("Tab")
    load = row.get_by_label("RIR, Bench press")
    load.fill("3")
    with answered(page):
        load.press("Enter")
    page.locator(".made-loads").first.wait_for()
    made = page.locator(".made-loads").first.inner_text()
    assert re.fullmatch(r"\d+(\.\d+)? kg", made)

    page.get_by_role("button", name="Session sheet").click()
    page.wait_for_url("**/sheets/*/")
    sheet = IssuedSheet.objects.get()
    assert f"{sheet.body['exercises'][0]['steps'][0]['load'] / 1000:g} kg" == made

    _log_as_written_with_rir(signed_in, sheet)
    assert SetLog.objects.filter(client=someone).count() == 3

    page = signed_in.go(reverse("logs:client_trends", args=[someone.pk]))
    page.wait_for_selector(".js-plotly-plot .main-svg")
    assert "Bench press" in page.inner_text("#work")


def _rows_for(header: str) -> str:
    """The import's own columns, filled for one client with two tested lifts."""
    given = {
        "name": "Ines Carvalho", "goal": "size", "level": "intermediate", "days_per_week": "3",
        "minutes_per_session": "60", "unit": "kg", "place": "Full gym", "exercise": "Bench press", "load": "80",
        "load_unit": "kg", "reps": "5",
    }  # fmt: skip
    columns = header.strip("\ufeff").split(",")
    first = [given.get(column, "") for column in columns]
    second = [
        {"name": "Ines Carvalho", "exercise": "Back squat", "load": "100", "reps": "5"}.get(c, "") for c in columns
    ]
    return "\n".join([",".join(columns), ",".join(first), ",".join(second)]) + "\n"


def _log_as_written_with_rir(signed_in, sheet):
    page = signed_in.go(reverse("logs:session_log", args=[sheet.pk]))
    page.get_by_role("button", name="Save, all other sets as written").click()
    page.wait_for_url("**/session-logs/*/")


def test_programme_is_made_and_changed_by_keyboard_alone(signed_in, gym, library, desk):
    page = signed_in.go(reverse("programs:program_new"))
    page.get_by_label("Name", exact=True).focus()
    press = page.keyboard.press
    page.keyboard.type("By keys")
    press("Tab")
    page.keyboard.press("Control+a")
    page.keyboard.type("6")
    press("Enter")
    page.wait_for_url("**/programs/*/")
    page.locator("#new-name").focus()
    page.keyboard.type("Session one")
    press("Enter")
    page.locator("#add-exercise").wait_for()
    page.locator("#add-exercise").focus()
    page.keyboard.type("Back squat")
    press("Enter")
    page.locator("#rows > tbody").first.wait_for()
    row = PlannedExercise.objects.get()
    page.locator(f"#row-{row.pk}-sets").focus()
    press("Control+a")
    page.keyboard.type("5")
    with answered(page):
        press("Tab")  # leaving the cell saves it
    row.refresh_from_db()
    assert row.scheme["sets"] == 5
    expect(page.locator(f"#row-{row.pk}-load_kind")).to_be_focused()
    expect(page.locator("#undo")).to_contain_text("Change Back squat")
    page.locator("#undo").focus()
    with answered(page, "/undo/") as answer:
        press("Enter")
    assert answer.value.status == 200
    expect(page.locator(f"#row-{row.pk}-sets")).to_have_value("3")
    assert page.evaluate("document.activeElement !== document.body")
    assert Program.objects.get().name == "By keys"
    assert PlannedSession.objects.get().name == "Session one"
