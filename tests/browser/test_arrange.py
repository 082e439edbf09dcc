"""Arranging in a browser: previews and pages are accessible in every state; every act works with JavaScript off."""

from typing import Any

import pytest
from django.test import Client as Http
from django.urls import reverse

from coachdesk.practice.models import Membership
from programs.models import PlannedExercise, PlannedSession, Program
from tests.browser.rules import broken_rules
from tests.factories.clients import ClientFactory
from tests.programs.arrange.plan import borders, made_plan, names, week

STATES = [(1440, "light"), (1440, "dark"), (1024, "light"), (320, "light")]


@pytest.fixture
def plan(desk: Membership, gym: Any) -> Program:
    return made_plan(desk, client=ClientFactory(coach=desk, place=gym))


def first(plan: Program) -> PlannedExercise:
    return PlannedExercise.objects.get(
        session__block__program=plan, session__week_no=1, session__name="Upper", position=1
    )


def violations(page: Any) -> list[Any]:
    found = []
    for width, scheme in STATES:
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme)
        found += broken_rules(page, width, scheme)
        sideways = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        found += [(width, "scrolls sideways by", sideways)] if sideways > 0 else []
    return found


def test_previews_and_refusals_have_no_violation(signed_in, plan):
    row = first(plan)
    fill = reverse("programs:program_progression", args=[plan.pk])
    numbers = "scope=program&from_week=1&to_week=6&share=150&raise_by=7&every=1"
    swap = reverse("programs:planned_exercise_swap", args=[row.pk])
    found = {}
    signed_in.forgive("422")
    for path in (
        f"{fill}?show=1&kind=volume&{numbers}", f"{fill}?show=1&kind=load&{numbers}&amount=5&unit=kg",
        f"{fill}?show=1&kind=volume&scope=program&from_week=9&to_week=2&share=x&raise_by=&every=1",
        f"{swap}?show=1&scope=everywhere&from_week=1&scheme=here", f"{swap}?show=1&scope=exercise&from_week=1",
    ):  # fmt: skip
        page = signed_in.page
        page.goto(f"{signed_in.base}{path}", wait_until="networkidle")
        found[path] = violations(page)
    assert not any(found.values()), found


def test_progression_is_chosen_seen_and_written_by_pointer(signed_in, plan):
    page = signed_in.go(reverse("programs:program_detail", args=[plan.pk]) + "?week=1")
    page.click("#week-fold-open")
    page.click("#progression")
    page.click("#kind-lighter")
    page.fill("#id_every", "2")
    page.click("#progression-show")
    assert "cells change" in page.text_content("#preview-count")
    page.click("#preview-write")
    page.wait_for_selector("#undo:not([disabled])")
    assert "Undo: Fill lighter weeks" in page.text_content("#undo")


def test_every_act_works_with_javascript_off(browser, live_server, desk, plan):
    http = Http()
    http.force_login(desk.user)
    context = browser.new_context(java_script_enabled=False)
    context.add_cookies([{"name": "sessionid", "value": http.cookies["sessionid"].value, "url": live_server.url}])
    page = context.new_page()
    row = first(plan)
    other = PlannedSession.objects.get(block__program=plan, week_no=4, name="Lower")
    page.goto(f"{live_server.url}{reverse('programs:planned_exercise_place', args=[row.pk])}")
    page.select_option("#id_session", str(other.pk))
    page.fill("#id_position", "1")
    page.click("#place-copy")
    assert "".join(names(other)) == "AABC"
    page.goto(f"{live_server.url}{reverse('programs:program_detail', args=[plan.pk])}?session={row.session_id}")
    page.click("#session-fold-open")
    page.fill("#place-week", "3")
    page.select_option("#place-day", "5")
    page.click("#session-move")
    assert week(plan, 3) == [(5, 1, "Upper")]
    page.goto(f"{live_server.url}{reverse('programs:program_detail', args=[plan.pk])}?week=2")
    page.click("#week-fold-open")
    page.fill("#put-to", "3")
    page.select_option("#put-how", "1")
    page.click("#week-copy")
    assert borders(plan) == [("Block 1", 1, 3), ("Block 2", 4, 3), ("Block 3", 7, 1)]
    page.goto(f"{live_server.url}{reverse('programs:block_list', args=[plan.pk])}")
    page.click("text=Earlier >> nth=0")
    assert [name for name, _, _ in borders(plan)] == ["Block 2", "Block 1", "Block 3"]
    page.goto(f"{live_server.url}{reverse('programs:planned_exercise_substitutes', args=[row.pk])}")
    page.click("[id^=use-from-] >> nth=0")
    page.click("#preview-write")
    assert "Swap Press A" in page.text_content("#undo")
    context.close()
