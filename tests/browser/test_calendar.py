"""The calendar by pointer and by keyboard: a session dragged by its handle, and one moved with the arrow keys."""

from datetime import timedelta

import pytest
from django.test import Client as Http
from django.utils import timezone

from programs.models import PlannedSession
from tests.factories.clients import ClientFactory
from tests.factories.programs import PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory


@pytest.fixture
def row(transactional_db, desk):
    """A session of next week's Monday."""
    today = timezone.now().date()
    monday = today + timedelta(days=7 - today.weekday())
    client = ClientFactory(coach=desk, name="Vera Lindholm")
    made = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client, start_on=monday), name="Lower A")
    PlannedExerciseFactory(session=made)
    return made, client, monday


def place(row) -> tuple[int, int]:
    fresh = PlannedSession.objects.get(pk=row.pk)
    return fresh.week_no, fresh.day


def test_a_session_is_dragged_by_its_handle(signed_in, row):
    made, client, monday = row
    page = signed_in.go(f"/clients/{client.pk}/calendar/?week={monday}")
    handle, target = page.locator(f"#move-{made.pk}"), page.locator(f"#day-{monday + timedelta(days=3)}")
    at, to = handle.bounding_box(), target.bounding_box()
    page.mouse.move(at["x"] + 5, at["y"] + 5)
    page.mouse.down()
    page.mouse.move(to["x"] + 20, to["y"] + 40, steps=8)
    assert "drop-here" in (target.get_attribute("class") or "")
    page.mouse.up()
    page.wait_for_selector(f"#day-{monday + timedelta(days=3)} #s-{made.pk}")
    assert place(made) == (1, 3)
    assert "Undo: Move Lower A" in page.locator("#undo").inner_text()


def test_a_session_is_moved_with_keys_and_keeps_the_focus(signed_in, row):
    """Four keys: right, right, Enter; the focus stays on the handle, and Escape leaves a session where it is."""
    made, client, monday = row
    page = signed_in.go(f"/clients/{client.pk}/calendar/?week={monday}")
    page.focus(f"#move-{made.pk}")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Escape")
    assert page.locator("#calendar-say").inner_text() == "Not moved."
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert "Enter puts Lower A here" in page.locator("#calendar-say").inner_text()
    page.keyboard.press("Enter")
    page.wait_for_selector(f"#day-{monday + timedelta(days=2)} #s-{made.pk}")
    assert place(made) == (1, 2)
    assert page.evaluate("document.activeElement.id") == f"move-{made.pk}"


def test_without_scripts_the_same_is_done_with_links_and_buttons(browser, live_server, row, desk):
    """Days away entered, seen beforehand, written and taken back; nothing needs a script."""
    made, client, monday = row
    context = browser.new_context(java_script_enabled=False, base_url=live_server.url)
    http = Http()
    http.force_login(desk.user)
    context.add_cookies([{"name": "sessionid", "value": http.cookies["sessionid"].value, "url": live_server.url}])
    page = context.new_page()
    page.goto(f"/clients/{client.pk}/calendar/?week={monday}")
    page.click("#absence-new")
    page.fill("#id_first_on", monday.isoformat())
    page.fill("#id_last_on", (monday + timedelta(days=6)).isoformat())
    page.click("#absence-preview")
    assert "1 session will change" in page.inner_text("#preview-title")
    assert place(made) == (1, 0)
    page.click("#do-it")
    made.block.program.refresh_from_db()
    assert made.block.program.start_on == monday + timedelta(days=7)
    page.click("#undo")
    made.block.program.refresh_from_db()
    assert made.block.program.start_on == monday
    context.close()


def test_a_click_on_the_handle_opens_the_form(signed_in, row):
    made, client, monday = row
    page = signed_in.go(f"/clients/{client.pk}/calendar/?week={monday}")
    page.click(f"#move-{made.pk}")
    page.wait_for_url(f"**/sessions/{made.pk}/move/**")
    page.fill("#id_on", (monday + timedelta(days=4)).isoformat())
    page.click("#move-save")
    page.wait_for_url(f"**/clients/{client.pk}/calendar/**")
    assert place(made) == (1, 4)
