"""Kill, start again, count: every acknowledged set must be there once, and nothing that nobody sent."""

import random
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection

from clients.models import Client
from coachdesk.management.backups.stores import store
from coachdesk.management.benchmarks.stage import signed_in
from coachdesk.management.endurance.desk import Desk
from coachdesk.management.endurance.house import Sheet, open_house
from coachdesk.management.endurance.writers import Told, Writer
from coachdesk.management.scratch import connected_to, empty_database
from programs.logs.mapping import set_key
from programs.logs.models import SessionLog, SetLog
from programs.logs.selectors import drifted_weeks

STUCK_S = 120


@dataclass(frozen=True)
class Endured:
    """Kills, acknowledged requests and sets, sends again without an answer; what was lost, doubled, unasked for."""

    kills: int
    requests: int
    sets: int
    again: int
    lost: int
    doubled: int
    unasked: int
    wrong: list[str]
    seconds: float

    @property
    def holds(self) -> bool:
        return not (self.lost or self.doubled or self.unasked or self.wrong)

    def __str__(self) -> str:
        good = "integrity ok" if not self.wrong else "; ".join(self.wrong[:5])
        return (
            f"{self.kills} kills, {self.requests:,} acknowledged requests with {self.sets:,} sets, {self.again:,} sent "
            f"again: {self.lost} lost, {self.doubled} doubled, {self.unasked} unasked for, {good}; {self.seconds:.0f} s"
        )


def endure(
    *, kills: int, sets: int, now: datetime, clients: int = 40, writers: int = 8, seed: int = 1,
    say: Callable[[str], None] = lambda words: None,
) -> Endured:  # fmt: skip
    """Kill a desk of its own so often while so many sets are acknowledged, spread evenly. Nobody's data are touched."""
    began = time.monotonic()
    with standing(clients, now) as (env, sheets, headers):
        desk = Desk(env)
        desk.start()
        crew = [Writer(desk, sheets, headers, now.date(), seed * 1000 + n) for n in range(writers)]
        try:
            done = _kill_often(desk, crew, kills, sets, random.Random(seed), say)
        finally:
            for writer in crew:
                writer.over.set()
            desk.kill()
        for writer in crew:
            writer.join(60)
        return _counted(done, [writer.told for writer in crew], time.monotonic() - began)


def _kill_often(
    desk: Desk, crew: list[Writer], kills: int, sets: int, dice: random.Random, say: Callable[[str], None]
) -> int:
    for writer in crew:
        writer.start()
    for done in range(1, kills + 1):
        _wait(crew, sets * (done - dice.random()) / kills)
        # Wherever the eight of them are in their work just then.
        time.sleep(dice.uniform(0, 0.1))
        desk.kill()
        desk.start()
        if done % 10 == 0:
            say(f"{done} kills, {_told(crew):,} sets acknowledged")
    _wait(crew, sets)
    return kills


def _wait(crew: list[Writer], sets: float) -> None:
    """Until so many sets are acknowledged in all. Raises RuntimeError when a writer gave up or nothing moves."""
    last, moved = -1, time.monotonic()
    while (told := _told(crew)) < sets:
        if told != last:
            last, moved = told, time.monotonic()
        wrong = [words for writer in crew for words in writer.told.wrong]
        if wrong or time.monotonic() - moved > STUCK_S:
            raise RuntimeError(wrong[0] if wrong else f"Nothing was acknowledged for {STUCK_S} s.")
        time.sleep(0.01)


def _told(crew: list[Writer]) -> int:
    return sum(len(writer.told.sets) for writer in crew)


def _counted(kills: int, told: list[Told], seconds: float) -> Endured:
    promised = {set_key(*place): reps for one in told for place, reps in one.sets.items()}
    sent = {set_key(*place) for one in told for place in one.sent}
    rows = dict(SetLog.objects.values_list("key", "reps"))
    wrong = [words for one in told for words in one.wrong] + store().damage()
    wrong += [f"client {c.pk}: sums of {len(w)} weeks differ" for c in Client.objects.all() if (w := drifted_weeks(c))]
    return Endured(
        kills=kills, requests=sum(one.requests for one in told), sets=len(promised),
        again=sum(one.again for one in told),
        lost=sum(1 for key, reps in promised.items() if rows.get(key) != reps),
        doubled=_doubled(), unasked=len(rows.keys() - sent), wrong=wrong, seconds=seconds,
    )  # fmt: skip


def _doubled() -> int:
    """Sets that stand twice in one session, and sessions that stand twice, whatever their keys."""
    place = ("session_log", "position", "set_no", "step_no", "side")
    sets = Counter(SetLog.objects.values_list(*place))
    sessions = Counter(SessionLog.objects.values_list("client", "key"))
    return sum(count - 1 for counts in (sets, sessions) for count in counts.values())


@contextmanager
def standing(clients: int, now: datetime) -> Iterator[tuple[dict[str, str], list[Sheet], dict[str, str]]]:
    """A database of its own with a sheet for each client: (a desk's environment, the sheets, the owner's headers)."""
    with _own_database() as env:
        owner, sheets = open_house(clients, now)
        browser, token = signed_in(owner), "t" * 32
        cookie = f"sessionid={browser.cookies['sessionid'].value}; csrftoken={token}"
        connection.close()
        yield env, sheets, {"Cookie": cookie, "X-CSRFToken": token}


@contextmanager
def _own_database() -> Iterator[dict[str, str]]:
    """An empty migrated database and a home of its own; gives the environment that leads a desk there."""
    scratch = tempfile.TemporaryDirectory(prefix="coachdesk-endure-")
    with scratch as home, empty_database(Path(home)) as (name, url), connected_to(name):
        call_command("migrate", verbosity=0, interactive=False)
        yield {
            "COACHDESK_HOME": home, "DATABASE_URL": url, "COACHDESK_MODE": "", "COACHDESK_HOSTS": "",
            "COACHDESK_SECRET_KEY": settings.SECRET_KEY,  # the owner is signed in from here
        }  # fmt: skip
