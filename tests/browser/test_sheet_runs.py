"""Sheets of many in a browser: progress that goes on by itself, the file at its end, and all of it without scripts."""

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from programs.models import SheetRun
from tests.browser.rules import broken_rules
from tests.factories.clients import ClientFactory, ScreeningFactory
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)

NEW = "programs:sheet_run_new"


@pytest.fixture
def week(transactional_db: None, desk: Any) -> str:
    """Six clients with a session next Monday, and one with nothing planned; that Monday."""
    today = timezone.localdate()
    monday = today + timedelta(days=7 - today.weekday())
    exercise = ExerciseFactory(practice=desk.practice, name="Bench press")
    for n in range(6):
        client = ClientFactory(coach=desk, name=f"Client {n}")
        ScreeningFactory(client=client)
        session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client, start_on=monday), name="A")
        PlannedExerciseFactory(session=session, exercise=exercise, scheme=scheme_json(load_value="60"))
    ClientFactory(coach=desk, name="Nobody's day")
    return monday.isoformat()


def test_the_page_goes_on_by_itself_until_the_file_is_there(signed_in, week):
    page = signed_in.go(f"{reverse(NEW)}?since={week}")
    assert broken_rules(page) == []
    page.focus("#run-go")
    page.keyboard.press("Enter")
    page.wait_for_selector("#run-file")
    assert page.inner_text("#run-words") == "6 sheets ready"
    assert "Nobody's day: nothing is planned" in page.inner_text("#progress")
    assert page.is_hidden("#run-step")
    assert broken_rules(page) == []
    answer = page.request.get(page.evaluate("document.querySelector('#run-file').href"))
    assert answer.headers["content-type"] == "application/pdf"


def test_without_scripts_a_button_does_the_same(signed_in, week, browser, live_server, context):
    plain = browser.new_context(java_script_enabled=False, storage_state=context.storage_state())
    page = plain.new_page()
    page.goto(f"{live_server.url}{reverse(NEW)}?since={week}")
    page.click("#run-go")
    for _ in range(7):
        if page.is_visible("#run-file"):
            break
        page.click("#run-step")
    assert page.is_visible("#run-file")
    plain.close()


def test_a_run_that_is_stopped_says_so_and_has_no_file(signed_in, week):
    page = signed_in.go(f"{reverse(NEW)}?since={week}")
    # Held back, so that there is time to stop it.
    page.route("**/step/", lambda route: None)
    page.click("#run-go")
    page.click("#run-cancel")
    page.wait_for_selector("#run-words:has-text('Stopped by hand at 1 of 7')")
    assert page.query_selector("#run-file") is None
    assert SheetRun.objects.get().state == SheetRun.State.CANCELLED
