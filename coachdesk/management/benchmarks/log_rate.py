"""Eight coaches who log at once, beside eight who do a bare insert with the same durability on the same database."""

import threading
from collections.abc import Callable, Sequence
from contextlib import nullcontext, suppress
from dataclasses import dataclass, field
from time import perf_counter
from typing import Any
from uuid import uuid4

from django.db import connection, transaction
from django.db.models import Field
from django.test import Client as Browser
from django.urls import reverse

from clients.models import Client
from coachdesk.engine import format_load
from coachdesk.management.benchmarks.course import make_course
from coachdesk.management.benchmarks.edit import htmx_headers
from coachdesk.management.benchmarks.harness import Measured, p95
from coachdesk.management.benchmarks.log_set import USUAL_REPS, Open, open_sets
from coachdesk.management.benchmarks.pages import expect, make_floor
from coachdesk.management.benchmarks.stage import Stage, signed_in
from coachdesk.practice.turns import turn
from programs.logs.models import SetLog

WRITERS, WARM_UP = 8, 3
# A week of the measured programme leaves a hundred sets open.
MOST_ROUNDS = 90
Calls = Sequence[Callable[[], None]]


@dataclass
class Run:
    """Calls a second of all writers together, how long each took in ms, and what was raised."""

    rate: float = 0.0
    times: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)


def measure_log_rate(stage: Stage, rounds: int) -> list[Measured]:
    """Sets a second of eight writers, each with a client of their own, through the whole desk as `log_set` does.

    Beside it a bare insert and commit of such a row by eight writers; and an empty page with a bare insert, which is
    what is left when the desk works nothing out. Threads of one process, as the desk serves. Raises RuntimeError.
    """
    rounds = min(rounds, MOST_ROUNDS)
    clients = _clients(stage)
    logs = [_logging(stage, client, rounds + WARM_UP) for client in clients]
    example = SetLog.objects.order_by("id")[0]
    page = make_floor(stage, 0)
    bare = [[lambda: _insert(example)] * (rounds + WARM_UP)] * WRITERS

    def page_and_insert() -> None:
        page()
        _insert(example)

    with_page = [[page_and_insert] * (rounds + WARM_UP)] * WRITERS
    least, floor, found = _together(bare), _together(with_page), _together(logs)
    for run in (least, floor, found):
        if run.errors:
            raise RuntimeError(f"{len(run.errors)} writers stopped: {run.errors[0]}")
    what = f"{WRITERS} writers at once"
    return [
        Measured("log_rate", f"{what}; floor: bare insert", found.rate, p95(found.times), 0, least.rate, "sets/s"),
        Measured("log_rate_page", f"{what}; floor: empty page and bare insert", found.rate, p95(found.times), 0,
                 floor.rate, "sets/s"),
    ]  # fmt: skip


def _clients(stage: Stage) -> list[Client]:
    rows = Client.objects.filter(practice=stage.owner.practice, archived_on=None)
    found = list(rows.select_related("place", "practice", "coach__user").order_by("id")[:WRITERS])
    if len(found) < WRITERS:
        raise RuntimeError(f"{WRITERS} clients are needed; there are {len(found)}.")
    return found


def _logging(stage: Stage, client: Client, times: int) -> Calls:
    """One coach's calls, good for so many sets."""
    course = make_course(by=stage.owner, client=client, now=stage.now, weeks=1)
    left, browser = open_sets(stage, client, course, times), signed_in(stage.owner)
    headers = htmx_headers(browser, reverse("logs:session_log_detail", args=[left[0][0].pk]))
    return [lambda one=one: _log(browser, headers, one) for one in left[:times]]  # type: ignore[misc]


def _log(browser: Browser, headers: dict[str, str], one: Open) -> None:
    log, step = one
    load = format_load(step.load) if step.load is not None else ""
    row = {"slot": step.slot, "load": load, "reps": str(step.written_reps or USUAL_REPS), "rir": "2"}
    answer = browser.post(reverse("logs:set_log", args=[log.pk]), row, headers=headers)
    expect(answer, 200, f'id="set-{step.slot}"'.encode())


def _insert(example: SetLog) -> None:
    """One row and its commit; on SQLite writers take turns as the desk's do, because polling for a lock is slower."""
    row = [field.get_db_prep_save(getattr(example, field.attname), connection) for field in _fields()]
    row[[field.attname for field in _fields()].index("key")] = uuid4().hex
    names = ", ".join(f'"{field.column}"' for field in _fields())
    marks = ", ".join(["%s"] * len(row))
    mine = turn() if connection.vendor == "sqlite" else nullcontext()
    with mine, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"INSERT INTO logs_setlog ({names}) VALUES ({marks})", row)


def _fields() -> "list[Field[Any, Any]]":
    return [field for field in SetLog._meta.concrete_fields if not field.primary_key]


def _together(crew: Sequence[Calls]) -> Run:
    """Every writer does its calls, all begin at once after the warm-up; the rate is that of all together."""
    run, gate = Run(), threading.Barrier(len(crew) + 1)
    threads = [threading.Thread(target=_write, args=(calls, gate, run)) for calls in crew]
    connection.close()  # the pool holds as many connections as there are writers
    for thread in threads:
        thread.start()
    with suppress(threading.BrokenBarrierError):  # a writer that stopped says why
        gate.wait(600)
    began = perf_counter()
    for thread in threads:
        thread.join()
    run.rate = len(run.times) / (perf_counter() - began)
    return run


def _write(calls: Calls, gate: threading.Barrier, run: Run) -> None:
    try:
        for call in calls[:WARM_UP]:
            call()
        gate.wait(600)
        for call in calls[WARM_UP:]:
            began = perf_counter()
            call()
            run.times.append(1000 * (perf_counter() - began))
    except threading.BrokenBarrierError:
        return
    except Exception as problem:
        run.errors.append(f"{type(problem).__name__}: {problem}")
        gate.abort()
    finally:
        connection.close()
