"""What storage does to a desk: full, read-only, locked for half a minute, damaged, cut off in a migration."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import InternalError, connection, connections
from django.db.utils import DatabaseError
from django.test import Client as Browser
from django.test import RequestFactory
from django.utils import timezone
from psycopg import connect

from clients.models import Place
from clients.services import create_place
from coachdesk.env import BASE
from coachdesk.management.backups import BackupError, check_backup, check_present, make_backup, restore_backup
from coachdesk.management.backups.postgresql import address_of
from coachdesk.management.scratch import connected_to, empty_database, leave
from coachdesk.practice.models import Act, Membership
from coachdesk.views import failure
from tests.factories.practice import MembershipFactory

SQLITE = connection.vendor == "sqlite"
NEW, FORM = "/places/new/", {"name": "Barn", "starting": "", "spotter": ""}


def signed_in(member: Membership) -> Browser:
    browser = Browser(raise_request_exception=False)
    browser.force_login(member.user)
    return browser


def rows() -> tuple[int, int]:
    return Place.objects.count(), Act.objects.count()


def run(*statements: str) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


@contextmanager
def read_only() -> Iterator[None]:
    """Both databases' own switch; what they raise is what they raise for a disk that was mounted so."""
    on, off = ("PRAGMA query_only=ON", "PRAGMA query_only=OFF")
    if not SQLITE:
        on, off = "SET default_transaction_read_only=on", "SET default_transaction_read_only=off"
    run(on)
    try:
        yield
    finally:
        run(off)


@pytest.mark.django_db(transaction=True)
def test_a_read_only_database_says_so_and_goes_on_when_it_is_not(owner: Membership) -> None:
    browser, before = signed_in(owner), rows()
    with read_only():
        assert browser.get("/").status_code == 200
        answer = browser.post(NEW, FORM)
    assert (answer.status_code, answer["Retry-After"]) == (503, "5")
    assert "full or read-only" in answer.content.decode()
    assert rows() == before
    assert browser.post(NEW, FORM).status_code == 302
    assert rows()[0] == before[0] + 1


@pytest.mark.django_db(transaction=True)
def test_a_lock_held_for_half_a_minute_is_waited_for_then_told_then_passed(owner: Membership) -> None:
    """30 s: the first change is told 'busy' after 20 s of waiting, the same sent again goes through."""
    browser, before, held = signed_in(owner), rows(), threading.Event()
    holder = threading.Thread(target=_hold, args=(held, 30.0))
    holder.start()
    assert held.wait(10)
    began = time.monotonic()
    first = browser.post(NEW, FORM)
    waited = time.monotonic() - began
    assert first.status_code == 503
    assert 18 < waited < 28
    assert rows() == before
    assert browser.post(NEW, FORM).status_code == 302
    holder.join()
    assert rows()[0] == before[0] + 1


def _hold(held: threading.Event, seconds: float) -> None:
    name = str(connection.settings_dict["NAME"])
    if SQLITE:
        with closing(sqlite3.connect(name, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            held.set()
            time.sleep(seconds)
            other.execute("ROLLBACK")
        return
    with closing(connect(**address_of(name))) as other:
        other.execute("LOCK TABLE practice_act IN ACCESS EXCLUSIVE MODE")
        held.set()
        time.sleep(seconds)
        other.rollback()


@pytest.mark.parametrize(
    "words",
    ["database disk image is malformed", "file is not a database", "invalid page in block 7 of relation base/5/1"],
)
def test_a_damaged_database_says_what_to_do(rf: RequestFactory, words: str) -> None:
    try:
        raise InternalError(words)
    except DatabaseError:
        answer = failure(rf.get("/"))
    assert answer.status_code == 503
    said = answer.content.decode()
    assert "manage.py restore FILE" in said
    assert words not in said


@pytest.mark.django_db(transaction=True)
def test_backups_under_load_are_each_of_one_moment(owner: Membership) -> None:
    """Four threads write all the while; every backup has whole acts only, and as many rows as its manifest says."""
    over = threading.Event()
    crew = [threading.Thread(target=_write_on, args=(owner.pk, n, over)) for n in range(4)]
    for one in crew:
        one.start()
    try:
        made = [make_backup(now=timezone.now()) for _ in range(3)]
    finally:
        over.set()
        for one in crew:
            one.join()
    assert Place.objects.count() > 4
    counts = []
    leave()
    for one in made:
        assert not check_backup(one.path).wrong
        counts.append(one.rows)
    assert counts == sorted(counts)
    assert counts[-1] > counts[0]


def _write_on(owner: int, number: int, over: threading.Event) -> None:
    by, count = Membership.objects.select_related("practice").get(pk=owner), 0
    while not over.is_set():
        count += 1
        create_place(by=by, now=timezone.now(), name=f"Place {number}.{count}")
    connections.close_all()


@pytest.mark.django_db(transaction=True)
def test_a_migration_that_is_killed_goes_on_when_it_is_run_again(tmp_path: Path, record_property: Any) -> None:
    dice, killed = random.Random(3), 0
    with empty_database(tmp_path) as (name, url):
        env = {**os.environ, "DATABASE_URL": url, "COACHDESK_HOME": str(tmp_path)}
        migrate = [sys.executable, "manage.py", "migrate", "--no-input", "-v", "0"]
        for _ in range(6):
            one = subprocess.Popen(migrate, cwd=BASE, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            time.sleep(dice.uniform(0.8, 2.5))
            killed += one.poll() is None
            one.send_signal(signal.SIGKILL)
            one.wait()
        subprocess.run(migrate, cwd=BASE, env=env, check=True, capture_output=True)
        whole = _tables()
        with connected_to(name):
            assert _tables() == whole
            call_command("migrate", check_unapplied=True, verbosity=0)
            assert not check_present().wrong
    record_property("killed", killed)
    assert killed >= 1


def _tables() -> dict[str, list[str]]:
    with connection.cursor() as cursor:
        names = connection.introspection.table_names(cursor)
        return {name: [c.name for c in connection.introspection.get_table_description(cursor, name)] for name in names}


if SQLITE:  # PostgreSQL keeps its disk to itself: a test cannot fill or spoil it without the server's own account

    @pytest.mark.django_db(transaction=True)
    def test_a_full_disk_loses_no_half_change(own_database: str) -> None:
        owner = MembershipFactory(owner=True)
        browser, before = signed_in(owner), rows()
        run("PRAGMA wal_checkpoint(TRUNCATE)")
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA page_count")
            run(f"PRAGMA max_page_count={cursor.fetchone()[0]}")
        answers = [browser.post(NEW, {**FORM, "name": f"Barn {n} {'x' * 40}"}).status_code for n in range(120)]
        assert answers[0] == 302
        assert answers[-1] == 503
        assert set(answers) == {302, 503}
        assert rows()[0] == before[0] + answers.count(302)
        run("PRAGMA max_page_count=1000000")
        assert browser.post(NEW, FORM).status_code == 302
        assert not check_present().wrong

    @pytest.mark.django_db(transaction=True)
    def test_a_damaged_page_is_told_and_a_backup_brings_all_back(own_database: str) -> None:
        owner = MembershipFactory(owner=True)
        for n in range(200):
            create_place(by=owner, now=timezone.now(), name=f"Place {n} {'x' * 40}")
        good = make_backup(now=timezone.now()).path
        before = rows()
        run("PRAGMA wal_checkpoint(TRUNCATE)")
        _spoil(Path(own_database), "clients_place")
        answer = signed_in(owner).get("/places/")
        assert answer.status_code == 503
        assert "manage.py restore FILE" in answer.content.decode()
        with pytest.raises(BackupError, match=r"manage\.py restore FILE"):
            make_backup(now=timezone.now())
        with pytest.raises(CommandError, match=r"Wrong|cannot be read"):
            call_command("verify")
        assert [path.name for path in good.parent.glob("*.zip")] == [good.name]
        said = restore_backup(good, now=timezone.now())
        assert "kept as" in said[-1]
        assert rows() == before
        assert signed_in(owner).get("/places/").status_code == 200

    def _spoil(path: Path, table: str) -> None:
        """Noise over every page of one table."""
        with connection.cursor() as cursor:
            cursor.execute("SELECT rootpage FROM sqlite_master WHERE name = %s", [table])
            root = cursor.fetchone()[0]
            cursor.execute("PRAGMA page_size")
            size = cursor.fetchone()[0]
        leave()
        with path.open("r+b") as file:
            file.seek((root - 1) * size)
            file.write(random.Random(1).randbytes(size))
