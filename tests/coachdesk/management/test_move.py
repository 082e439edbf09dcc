"""A desk moved from its SQLite file into PostgreSQL: every row under its own id, or none at all."""

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import pytest
from django.apps import apps
from django.conf import settings
from django.db import models

from coachdesk.env import BASE
from coachdesk.management.moving import OURS
from coachdesk.practice.models import Backup, Practice

pytestmark = pytest.mark.postgres
# A desk with one of everything, made and read in a process of its own: the tests' own database is PostgreSQL's.
FILL = """
import django, json; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from coachdesk.practice.models import Backup
from tests.coachdesk.management.test_move import digests
from tests.factories.logs import NOON
from tests.factories.practice import MembershipFactory
from tests.factories.whole import one_of_everything
desk = MembershipFactory(user__name="Ana Reis", user__email="ana@example.org")
MembershipFactory(practice=desk.practice, assistant=True).assists.add(desk)
one_of_everything(desk, NOON)
Backup.objects.create(made_at=NOON, name="of the file")
print(json.dumps(digests()))
"""


def digests() -> dict[str, list[object]]:
    """Label of each model with rows -> how many, and a digest of every column of every row, secret ones too."""
    found: dict[str, list[object]] = {}
    for app in OURS:
        for model in apps.get_app_config(app).get_models(include_auto_created=True):
            names = [field.attname for field in model._meta.concrete_fields]
            rows = list(model._default_manager.order_by("pk").values_list(*names))
            if rows and model is not Backup:
                text = json.dumps(rows, default=str, sort_keys=True)
                found[model._meta.label] = [len(rows), hashlib.sha256(text.encode()).hexdigest()]
    return found


def run(*command: str, **env: str) -> subprocess.CompletedProcess[str]:
    plain = {"PATH": os.environ["PATH"], "DJANGO_SETTINGS_MODULE": "coachdesk.settings", **env}
    return subprocess.run([sys.executable, *command], cwd=BASE, env=plain, capture_output=True, text=True, check=False)


def move(file: Path, own_database: str, home: Path) -> subprocess.CompletedProcess[str]:
    url = urlunsplit(urlsplit(settings.ENV.database_url)._replace(path=f"/{own_database}"))
    return run("manage.py", "move", str(file), DATABASE_URL=url, COACHDESK_HOME=str(home))


def test_every_row_arrives_as_it_is_once_and_new_ones_follow(own_database: str, tmp_path: Path) -> None:
    made = run("-c", FILL, COACHDESK_HOME=str(tmp_path / "old"))
    assert made.returncode == 0, made.stderr
    there = json.loads(made.stdout.splitlines()[-1])
    moved = move(tmp_path / "old" / "desk.sqlite3", own_database, tmp_path)
    assert moved.returncode == 0, moved.stderr
    assert digests() == there
    assert len(there) > 40
    assert not Backup.objects.exists()
    last = Practice.objects.aggregate(last=models.Max("pk"))["last"]
    assert Practice.objects.create(name="Next").pk == last + 1
    again = move(tmp_path / "old" / "desk.sqlite3", own_database, tmp_path)
    assert (again.returncode, "holds rows already" in again.stderr) == (1, True)


@pytest.mark.parametrize(
    ("name", "words"), [("nowhere.sqlite3", "is no file"), ("odd.sqlite3", "Nothing was moved; the database says")]
)
def test_what_is_no_desk_moves_nothing(own_database: str, tmp_path: Path, name: str, words: str) -> None:
    (tmp_path / "odd.sqlite3").write_bytes(b"not a database" * 1000)
    refused = move(tmp_path / name, own_database, tmp_path)
    assert (refused.returncode, words in refused.stderr) == (1, True), refused.stderr
    assert not digests()
