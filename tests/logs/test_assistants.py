"""An assistant who may log: logs and sheets of the coaches they assist, and nothing else."""

from datetime import datetime
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from clients.models import Screening
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import UndoConflict, undo
from programs.logs.models import SessionLog
from programs.models import FlagDecision, IssuedSheet
from tests.factories.practice import MembershipFactory
from tests.factories.whole import one_of_everything


@pytest.fixture
def ids(desk: Membership, now: datetime) -> dict[str, list[Any]]:
    return one_of_everything(desk, now)


@pytest.fixture
def logger(desk: Membership) -> Membership:
    made = MembershipFactory(practice=desk.practice, user__name="Ida Holm", assistant=True, may_log=True)
    made.assists.add(desk)
    return made


@pytest.fixture
def as_logger(logger: Membership) -> Browser:
    browser = Browser()
    browser.force_login(logger.user)
    return browser


def test_they_log_what_was_done_in_their_own_name(
    as_logger: Browser, logger: Membership, ids: dict[str, list[Any]]
) -> None:
    log = SessionLog.objects.get(pk=ids["session_log"][0])
    page = as_logger.get(f"/session-logs/{log.pk}/").content.decode()
    assert 'id="head"' in page
    before = Act.objects.latest("id").pk
    typed = {"version": log.version, "done_on": log.done_on.isoformat(), "minutes": "55", "rating": "8", "note": ""}
    assert as_logger.post(f"/session-logs/{log.pk}/edit/", typed).status_code in (200, 302)
    act = Act.objects.get(pk__gt=before)
    assert act.actor == logger
    assert SessionLog.objects.get(pk=log.pk).rating == 8
    as_logger.post(f"/session-logs/{log.pk}/undo/")
    assert SessionLog.objects.get(pk=log.pk).rating == log.rating


def test_a_stop_is_a_coachs_to_answer_whatever_they_write(as_logger: Browser, ids: dict[str, list[Any]]) -> None:
    Screening.objects.all().delete()
    FlagDecision.objects.all().delete()
    before = IssuedSheet.objects.count()
    answer = as_logger.post(reverse("programs:sheet_issue", args=ids["session"]), {"why": "They said it is fine."})
    assert answer.status_code == 422
    assert "A coach decides about this; ask Ana Reis." in answer.content.decode()
    assert (IssuedSheet.objects.count(), FlagDecision.objects.count()) == (before, 0)


def test_pages_offer_them_no_more_than_they_may(as_logger: Browser, ids: dict[str, list[Any]]) -> None:
    editor = as_logger.get(f"/programs/{ids['program'][0]}/?session={ids['session'][0]}").content.decode()
    assert 'id="issue-sheet"' in editor
    assert 'id="session-edit"' not in editor
    assert 'id="add-exercise-form"' not in editor
    roster = as_logger.get("/").content.decode()
    assert 'id="roster-sheets"' in roster
    assert 'id="roster-act-form"' not in roster or 'id="roster-do"' not in roster
    client = as_logger.get(f"/clients/{ids['client'][0]}/").content.decode()
    assert 'id="client-edit"' not in client
    assert 'id="client-handover"' not in client


def test_they_undo_nothing_of_a_coachs(as_logger: Browser, logger: Membership, ids: dict[str, list[Any]]) -> None:
    assert as_logger.post(f"/acts/{ids['act'][0]}/undo/").status_code == 404
    assert as_logger.post(f"/programs/{ids['program'][0]}/undo/").status_code == 403


def test_once_they_assist_nobody_they_see_and_undo_nothing(
    as_logger: Browser, logger: Membership, ids: dict[str, list[Any]]
) -> None:
    log = SessionLog.objects.get(pk=ids["session_log"][0])
    typed = {"version": log.version, "done_on": log.done_on.isoformat(), "minutes": "55", "rating": "8", "note": ""}
    as_logger.post(f"/session-logs/{log.pk}/edit/", typed)
    act = Act.objects.filter(actor=logger).latest("id")
    logger.assists.clear()
    assert as_logger.get(f"/session-logs/{log.pk}/").status_code == 404
    with pytest.raises(UndoConflict):
        undo(act, by=logger)
