"""Logging by keyboard alone, a row corrected in place, the roster walked by arrows, and charts that draw."""

import pytest
from django.urls import reverse

from clients.models import Client
from programs.logs.models import SetLog
from tests.factories.clients import ClientFactory
from tests.factories.logs import IssuedSheetFactory, logged


@pytest.fixture
def sheet(desk):
    return IssuedSheetFactory(client=ClientFactory(coach=desk, name="Amara Tolledo"))


def focused(page):
    return page.evaluate("document.activeElement.id")


def test_a_session_is_logged_without_a_mouse(signed_in, sheet):
    page = signed_in.go(reverse("logs:session_log", args=[sheet.pk]))
    page.focus("#id_load-1-1-1-b")
    page.keyboard.type("72,5")
    page.keyboard.press("Tab")
    page.keyboard.type("8")
    page.keyboard.press("Enter")
    # Enter goes down and sends nothing: a half typed sheet is not saved by accident.
    assert focused(page) == "id_reps-1-2-1-b"
    page.keyboard.type("7")
    page.keyboard.press("ArrowDown")
    page.keyboard.type("6")
    page.keyboard.press("Control+Enter")
    page.wait_for_url("**/session-logs/*/")
    rows = SetLog.objects.order_by("set_no").values_list("load", "reps", "failed")
    assert list(rows) == [(72_500, 8, False), (70_000, 7, True), (70_000, 6, True)]


def test_a_row_is_corrected_in_place_and_keeps_the_focus(signed_in, sheet):
    log = logged(sheet)
    page = signed_in.go(reverse("logs:session_log_detail", args=[log.pk]))
    page.focus("#set-1-2-1-b-reps")
    page.keyboard.press("Control+a")
    page.keyboard.type("9")
    page.keyboard.press("Enter")
    page.get_by_text("+1 rep").wait_for()
    page.locator("#save-status", has_text="Saved").wait_for()
    assert focused(page) == "set-1-2-1-b-reps"
    assert "+1 rep" in page.inner_text("#set-1-2-1-b")
    assert "Undo: Change set 2" in page.inner_text("#history")
    assert log.sets.get(set_no=2).reps == 9


def test_what_a_corrected_set_taught_follows_by_itself(signed_in, sheet):
    log = logged(sheet)
    page = signed_in.go(reverse("logs:session_log_detail", args=[log.pk]))
    assert "RIR 1" not in page.inner_text("#taught")
    page.fill("#set-1-1-1-b-rir", "1")
    page.keyboard.press("Enter")
    page.locator("#taught", has_text="70 kg x 8, RIR 1").wait_for()
    assert focused(page) == "set-1-1-1-b-rir"
    assert page.locator("#estimates h2").count() == 1


def test_a_refused_cell_says_why_and_keeps_the_text(signed_in, sheet):
    log = logged(sheet)
    page = signed_in.go(reverse("logs:session_log_detail", args=[log.pk]))
    page.fill("#set-1-1-1-b-reps", "1000")
    page.keyboard.press("Enter")
    page.wait_for_selector("#set-1-1-1-b-reps-error")
    assert page.input_value("#set-1-1-1-b-reps") == "1000"
    assert log.sets.get(set_no=1).reps == 8
    # A refused save is an answer the browser reports as an error of its own.
    signed_in.forgive("422")


def test_the_roster_is_walked_by_arrows(signed_in, desk):
    clients = [ClientFactory(coach=desk, name=name) for name in ("Amara", "Bo", "Cleo")]
    page = signed_in.go("/")
    page.focus(f"#client-{clients[0].pk}-link")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowUp")
    assert focused(page) == f"client-{clients[1].pk}-link"
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/clients/{clients[1].pk}/")


def test_clients_are_ticked_looked_at_changed_and_put_back_by_keyboard_alone(signed_in, desk):
    clients = [ClientFactory(coach=desk, name=name, goal="size") for name in ("Amara", "Bo", "Cleo")]
    page = signed_in.go("/")
    page.focus(f"#client-{clients[0].pk}-link")
    page.keyboard.press("ArrowLeft")
    assert focused(page) == f"tick-{clients[0].pk}"
    page.keyboard.press("Space")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Shift+Space")
    assert page.text_content("#roster-count") == "3 ticked"
    page.keyboard.press("ArrowRight")
    assert focused(page) == f"client-{clients[2].pk}-link"
    page.select_option("#roster-do", "goal:strength")
    page.focus("#roster-look")
    page.keyboard.press("Enter")
    page.wait_for_selector("#act-go")
    page.focus("#act-go")
    page.keyboard.press("Enter")
    page.wait_for_selector("#act-undo")
    assert {Client.objects.get(pk=client.pk).goal for client in clients} == {"strength"}
    page.focus("#act-undo")
    page.keyboard.press("Enter")
    page.wait_for_selector("#changed-title:has-text('put back')")
    assert {Client.objects.get(pk=client.pk).goal for client in clients} == {"size"}


def test_both_charts_draw_without_a_complaint(signed_in, sheet):
    logged(sheet)
    page = signed_in.go(reverse("logs:client_trends", args=[sheet.client_id]))
    page.wait_for_selector("[data-chart=chart-strength] .main-svg")
    assert page.locator(".main-svg").count() >= 2
    assert page.locator("[data-chart=chart-sets] .bars path").count() == 12
    assert page.locator(".chart-missing").count() == 0
