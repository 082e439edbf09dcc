"""A desk that is killed while it acknowledges sets: nothing acknowledged is lost, nothing is there twice."""

import re
import shutil
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from coachdesk.management.endurance import harness
from coachdesk.management.endurance.desk import Desk
from coachdesk.management.endurance.harness import Endured, endure, standing
from coachdesk.management.endurance.writers import Told, Writer
from tests.factories.logs import IssuedSheetFactory, logged

NOW = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)
KILLS, SETS = 20, 240


@pytest.mark.django_db(transaction=True)
def test_twenty_kills_lose_and_double_nothing(record_property: Any) -> None:
    found = endure(kills=KILLS, sets=SETS, now=NOW, clients=6)
    record_property("endured", str(found))
    assert found.holds, str(found)
    assert found.kills == KILLS
    assert found.sets >= SETS
    assert found.again >= KILLS  # it did go down under them


@pytest.mark.django_db
def test_the_count_finds_what_is_lost_and_what_nobody_sent() -> None:
    """The harness itself: sets that were promised and are not there, and rows that nobody sent, are told."""
    logged(IssuedSheetFactory(), key=uuid4())
    told = Told(sets={(uuid4(), "1-1-1-b"): 5}, sent={(uuid4(), "1-1-1-b")})
    found = harness._counted(3, [told], 1.0)
    assert (found.lost, found.unasked, found.holds) == (1, 3, False)


def test_a_desk_that_lost_something_fails_the_command(monkeypatch: pytest.MonkeyPatch) -> None:
    lost = Endured(1, 1, 1, 0, lost=1, doubled=0, unasked=0, wrong=[], seconds=1.0)
    monkeypatch.setattr("coachdesk.management.commands.endure.endure", lambda **_: lost)
    with pytest.raises(CommandError, match="did not keep"):
        call_command("endure")
    with pytest.raises(CommandError, match="1 or more"):
        call_command("endure", kills=0)


if connection.vendor == "sqlite":  # PostgreSQL's own server does the syncing: see the last test

    @pytest.mark.skipif(shutil.which("strace") is None, reason="syncs before answers: no strace on this machine")
    @pytest.mark.django_db(transaction=True)
    def test_every_acknowledged_set_was_synced_to_the_disk_before(tmp_path: Path, record_property: Any) -> None:
        """An fdatasync of the database's log between each POST and its answer, sent one after the other."""
        calls = tmp_path / "calls"
        with standing(1, NOW) as (env, sheets, headers):
            desk = Desk(env)
            trace = "trace=fsync,fdatasync,recvfrom,sendto"
            desk.before = ["strace", "-f", "-y", "-s", "30", "-o", str(calls), "-e", trace]
            desk.start()
            writer = Writer(desk, sheets, headers, NOW.date(), 1)
            for _ in range(2):
                writer.session(sheets[0])
            desk.kill()
        synced = syncs_before_answers(calls.read_text(errors="replace").splitlines())
        record_property("acknowledged", len(synced))
        assert len(synced) == writer.told.requests >= 30
        assert all(count >= 1 for count in synced)


def syncs_before_answers(lines: list[str]) -> list[int]:
    """For each POST that was answered with 302: how often the database's log was synced in between."""
    found, open_post, count, begun = [], False, 0, set()
    for line in lines:
        pid, _, call = line.partition(" ")
        call = call.strip()
        if re.match(r"f(data)?sync\(\d+<[^>]*sqlite3-wal>", call):
            done = call.endswith("= 0")
            count += done
            if not done:
                begun.add(pid)
        elif re.match(r"<\.\.\. f(data)?sync resumed>.*= 0$", call) and pid in begun:
            begun.discard(pid)
            count += 1
        elif "recvfrom" in call and '"POST /' in call:
            open_post, count = True, 0
        elif "sendto(" in call and '"HTTP/1.1 302' in call and open_post:
            found.append(count)
            open_post = False
    return found


def test_an_answer_without_a_sync_would_be_found() -> None:
    post = '7 recvfrom(9<socket:[1]>, "POST /s HTTP"..., 8192) = 90'
    answer = '7 sendto(9<socket:[1]>, "HTTP/1.1 302 Found"..., 9) = 9'
    sync = "7 fdatasync(8</home/desk.sqlite3-wal>) = 0"
    other = "7 fdatasync(8</home/notes>) = 0"
    parted = ["8 fdatasync(8</home/desk.sqlite3-wal> <unfinished ...>", "8 <... fdatasync resumed>) = 0"]
    assert syncs_before_answers([post, sync, answer, post, other, answer, sync, post, *parted, answer]) == [1, 0, 1]


@pytest.mark.django_db
def test_the_desk_asks_its_database_for_durable_commits() -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA synchronous")
            assert cursor.fetchone()[0] == 2  # FULL
            cursor.execute("PRAGMA journal_mode")
            assert cursor.fetchone()[0] == "wal"
        else:
            cursor.execute("SHOW synchronous_commit")
            assert cursor.fetchone()[0] == "on"
