"""When pages speak of backups: after a day without one, and from the 27th hour after the last."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from coachdesk.management.backups import make_backup
from coachdesk.management.backups.daily import make_if_due
from coachdesk.practice.models import Backup
from coachdesk.practice.services import note_backup

pytestmark = pytest.mark.django_db
PAGES = ("/", "/clients/", "/acts/", "/places/")


def grown(**age):
    """The database as it was begun so long ago."""
    MigrationRecorder.Migration.objects.update(applied=timezone.now() - timedelta(**age))


def noted(**age):
    note_backup(made_at=timezone.now() - timedelta(**age), name="coachdesk-20261124-120000.zip")


def test_the_first_day_is_quiet(as_owner):
    assert "backup-banner" not in as_owner.get("/").content.decode()


def test_a_day_without_a_backup_is_told_on_every_page(as_owner):
    grown(hours=25)
    for page in PAGES:
        text = as_owner.get(page).content.decode()
        assert "There is no backup of this desk yet." in text
        assert 'id="make-backup"' in text
        assert "manage.py backup" in text


@pytest.mark.parametrize(
    ("age", "words"),
    [
        ({"hours": 1}, ""),
        ({"hours": 25, "minutes": 59}, ""),
        ({"hours": 26, "minutes": 1}, "The last good backup is 26 hours old."),
        ({"hours": 47, "minutes": 59}, "The last good backup is 47 hours old."),
        ({"days": 2, "hours": 1}, "The last good backup is 2 days old."),
        ({"days": -400}, "dated in the future: this machine&#x27;s clock was changed"),
    ],
)
def test_how_old_the_last_one_is(as_owner, age, words):
    grown(days=900)
    noted(**age)
    text = as_owner.get("/").content.decode()
    assert ("backup-banner" in text) == bool(words)
    assert words in text


def test_the_last_one_noted_counts(as_owner):
    grown(days=900)
    noted(days=-400)
    noted(hours=1)
    assert "backup-banner" not in as_owner.get("/").content.decode()


def test_a_coach_sees_no_button_and_an_assistant_nothing(as_coach, as_assistant):
    grown(days=2)
    text = as_coach.get("/").content.decode()
    assert "There is no backup" in text
    assert "make-backup" not in text
    assert "backup-banner" not in as_assistant.get("/").content.decode()


def test_a_served_desk_has_no_button(as_owner, settings):
    grown(days=2)
    settings.ENV = replace(settings.ENV, served=True)
    text = as_owner.get("/").content.decode()
    assert "There is no backup" in text
    assert "make-backup" not in text
    assert as_owner.post("/backups/new/").status_code == 403
    assert not Backup.objects.exists()


def test_the_banner_costs_no_query(as_owner):
    as_owner.get("/acts/")
    with CaptureQueriesContext(connection) as quiet:
        as_owner.get("/acts/")
    grown(days=2)
    with CaptureQueriesContext(connection) as told:
        assert "backup-banner" in as_owner.get("/acts/").content.decode()
    assert len(told) == len(quiet)


def test_the_banner_is_left_out_of_print(as_owner):
    grown(days=2)
    assert '<div class="banner notice"' in as_owner.get("/").content.decode()
    hidden = Path("static/css/print.css").read_text().split("display: none")[0]
    assert "  .banner," in hidden


@pytest.mark.django_db(transaction=True)
def test_the_button_makes_a_backup_and_comes_back(as_owner, settings):
    grown(days=2)
    answer = as_owner.post("/backups/new/", {"next": "/clients/?q=a"}, follow=True)
    assert answer.redirect_chain == [("/clients/?q=a", 302)]
    text = answer.content.decode()
    name = Backup.objects.get().name
    assert f"Backup made: {name}" in text
    assert "backup-banner" not in text
    assert (settings.BACKUPS / name).exists()


@pytest.mark.parametrize("wanted", ["https://elsewhere.example/", "//elsewhere.example", "logs:roster", "\0", ""])
def test_the_button_leads_nowhere_else(as_owner, wanted, monkeypatch):
    monkeypatch.setattr("coachdesk.views.make_backup", lambda **_: "x")
    assert as_owner.post("/backups/new/", {"next": wanted}).url == "/"


def test_a_failed_backup_is_told(as_owner, settings, tmp_path):
    (tmp_path / "file").write_text("")
    settings.BACKUPS = tmp_path / "file" / "backups"
    assert "No backup was made" in as_owner.post("/backups/new/", follow=True).content.decode()


@pytest.mark.django_db(transaction=True)
def test_a_running_desk_makes_one_a_day(settings):
    now = timezone.now()
    assert make_if_due(now)
    assert not make_if_due(now + timedelta(hours=23))
    assert make_if_due(now + timedelta(hours=24, minutes=1))
    assert Backup.objects.count() == 2


@pytest.mark.django_db(transaction=True)
def test_a_clock_that_was_set_back_does_not_stop_daily_backups():
    now = timezone.now()
    make_backup(now=now + timedelta(days=400))
    assert make_if_due(now)
    assert not make_if_due(now + timedelta(hours=1))


def test_a_daily_backup_that_fails_is_logged_and_not_raised(settings, tmp_path, caplog):
    (tmp_path / "file").write_text("")
    settings.BACKUPS = tmp_path / "file" / "backups"
    assert not make_if_due(timezone.now())
    assert "No backup was made" in caplog.text
