"""Templates in a browser: many clients by keyboard, progress that asks by itself, choices, and all of it without JS."""

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from coachdesk import engine
from programs.models import PlannedExercise, Program, Rollout
from programs.services import assign_program
from programs.services.exercises import set_scheme
from programs.services.rollouts import hand_out
from programs.services.versions import save_version
from tests.browser.rules import broken_rules
from tests.factories.clients import ClientFactory
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)


@pytest.fixture
def template(transactional_db: None, desk: Any) -> Program:
    """Two weeks of one session with enough in it to keep the desk busy for a moment."""
    made = ProgramFactory(coach=desk, name="Base", weeks=2)
    exercise = ExerciseFactory(practice=desk.practice, name="Bench press")
    for week in (1, 2):
        session = PlannedSessionFactory(program=made, name="Upper A", week_no=week)
        PlannedExerciseFactory.create_batch(15, session=session, exercise=exercise)
    return made


def test_many_are_ticked_by_keyboard_and_the_page_follows_the_work(signed_in, desk, template, settings):
    """Space, arrow down, Shift with a click; the progress asks every second and stops asking when done."""
    settings.WORK_BEHIND_PAGES = True
    clients = [ClientFactory(coach=desk, name=f"Client {n:02}") for n in range(40)]
    asked: list[str] = []
    page = signed_in.go(reverse("programs:program_assign_many", args=[template.pk]))
    page.on("request", lambda one: asked.append(one.url) if "/rollouts/" in one.url else None)
    page.focus(f"#tick-{clients[0].pk}")
    page.keyboard.press("Space")
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.id") == f"tick-{clients[1].pk}"
    assert page.inner_text("#assign-count") == "1 ticked"
    page.click(f"#tick-{clients[4].pk}", modifiers=["Shift"])
    assert page.inner_text("#assign-count") == "5 ticked"
    page.fill("#choose-q", "09")
    page.wait_for_selector("#tick-all:has-text('Tick all 1')")
    assert "q=09" in page.url
    assert page.evaluate("document.activeElement.id") == "choose-q"
    page.fill("#choose-q", "")
    page.wait_for_selector("#tick-all:has-text('40')")
    page.click("#tick-all")
    page.wait_for_selector("#assign-count:has-text('40 ticked')")
    assert broken_rules(page) == []
    page.click("#assign-go")
    page.wait_for_selector("#rollout-undo", timeout=60_000)
    assert "Done: 40 of 40" in page.inner_text("#rollout-state")
    assert broken_rules(page) == []
    page.wait_for_timeout(300)
    before = len(asked)
    page.wait_for_timeout(2500)
    assert len(asked) == before
    page.click("#rollout-undo")
    page.wait_for_selector("#rollout-words:has-text('Undone')")
    assert not Program.objects.filter(client__in=clients).exists()


def test_a_running_one_can_be_stopped(signed_in, desk, template):
    now = timezone.now()
    version = save_version(by=desk, program=template, note="", now=now)
    clients = ClientFactory.create_batch(3, coach=desk)
    rollout = hand_out(
        by=desk, program=template, version=version, takes_present=False, client_ids=[c.pk for c in clients],
        start_on=now.date(), today=now.date(), now=now,
    )  # fmt: skip
    page = signed_in.go("/programs/")
    page.goto(f"{signed_in.base}{reverse('programs:rollout_detail', args=[rollout.pk])}")
    assert broken_rules(page) == []
    with page.expect_response(lambda one: "/rollouts/" in one.url and one.request.headers.get("hx-request") == "true"):
        pass  # it asks by itself
    page.focus("#rollout-cancel")
    page.keyboard.press("Enter")
    page.wait_for_selector("#rollout-continue")
    assert Rollout.objects.get().state == "cancelled"
    assert broken_rules(page) == []


@pytest.fixture
def copy(desk: Any, template: Program) -> Program:
    """A client's copy, with one exercise changed there and in the template's second version."""
    now = timezone.now()
    client = ClientFactory(coach=desk, name="Vera Lindholm")
    start = now.date() + timedelta(days=7)
    made = assign_program(by=desk, program=template, client=client, start_on=start, today=now.date(), now=now)
    for program, sets in ((made, "5"), (template, "6")):
        rows = PlannedExercise.objects.select_related("session__block__program", "exercise")
        row = rows.filter(session__block__program=program).order_by("session__week_no", "position")[0]
        set_scheme(by=desk, planned=row, scheme=engine.scheme_from_json(scheme_json(sets=sets)))
    save_version(by=desk, program=template, note="Six sets", now=now)
    return made


def test_a_clash_is_chosen_previewed_and_applied(signed_in, copy):
    page = signed_in.go(reverse("programs:version_apply", args=[copy.pk]))
    assert "Nothing would change" in page.inner_text("#preview")
    page.check("#clash-1-theirs")
    page.click("#apply-preview")
    page.wait_for_selector("#cap-changes", state="attached")
    assert page.is_checked("#clash-1-theirs")
    assert page.evaluate("document.activeElement.id") == "apply-preview"
    assert broken_rules(page) == []
    page.click("#apply-go")
    page.wait_for_selector("#undo:has-text('Apply version 2 of Base')")


def test_all_of_it_works_without_javascript(browser, live_server, signed_in, desk, template, copy):
    cookies = signed_in.page.context.cookies()
    context = browser.new_context(java_script_enabled=False)
    context.add_cookies(cookies)
    page = context.new_page()
    ClientFactory(coach=desk, name="Zoe")
    page.goto(f"{live_server.url}{reverse('programs:program_assign_many', args=[template.pk])}")
    page.fill("#choose-q", "zoe")
    page.click("#choose-go")
    page.click("#tick-all")
    page.click("#assign-go")
    assert "Done: 1 of 1" in page.inner_text("#rollout-state")
    page.click("#rollout-undo")
    assert "Undone" in page.inner_text("#rollout-state")
    page.goto(f"{live_server.url}{reverse('programs:version_apply', args=[copy.pk])}")
    page.check("#clash-1-theirs")
    page.click("#apply-preview")
    assert "6 x 8" in page.inner_text("#cap-changes ~ tbody")
    page.click("#apply-go")
    assert "The changes of version 2 are in" in page.inner_text("#messages")
    page.goto(f"{live_server.url}{reverse('programs:version_compare', args=[template.pk])}")
    page.select_option("#compare-one", "1")
    page.select_option("#compare-other", "2")
    page.click("#compare-go")
    assert "3 x 8" in page.inner_text("#comparison")
    context.close()
