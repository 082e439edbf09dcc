"""Handing a template to many clients, beside a bare insert of the same rows on the same database."""

import tracemalloc
from collections.abc import Iterator, Sequence
from statistics import median
from time import perf_counter

from django.db import connection, models, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from clients.models import Client
from clients.selectors import today_for
from coachdesk.management.benchmarks.harness import Measured, p95
from coachdesk.management.benchmarks.stage import Stage
from coachdesk.practice.models import Act
from coachdesk.practice.text import fold
from programs.models import Block, PlannedExercise, PlannedSession, Program, Rollout
from programs.rollout.worker import MOST, run
from programs.selectors.rollouts import copies_of
from programs.selectors.versions import version_body
from programs.services import save_as_template
from programs.services.rollouts import hand_out, hand_to_some, take_back
from programs.services.versions import version_to_assign

CLIENTS, RUNS, SLICE = 500, 3, 25
MEGABYTE = 1e6


def measure_assign(stage: Stage, rounds: int) -> list[Measured]:
    """Clients a second, pauses for others included, beside a bare insert; the biggest chunk's memory; taking back.

    A run is long, so there are three whatever `rounds` says.
    """
    clients = _clients(stage)
    template = save_as_template(by=stage.owner, program=stage.course.program, name="Twelve weeks to hand out")
    rates, bare_rates, undo_ms = [], [], []
    for _ in range(RUNS):
        took, act = _handed(stage, template, clients)
        rates.append(CLIENTS / took)
        bare_rates.append(CLIENTS / _bare(act))
        began = perf_counter()
        take_back(act, stage.owner)
        undo_ms.append(1000 * (perf_counter() - began))
    bare, (peak, queries) = median(bare_rates), _chunk(stage, template, clients)
    shape = "12 weeks x 4 days x 6 exercises"
    return [
        Measured("assign", f"{CLIENTS} clients, {shape}; floor: bare insert", median(rates), min(rates), queries, bare,
                 "clients/s"),
        Measured("assign_memory", f"peak of a chunk of {MOST} clients", peak, peak, queries, peak, "MB"),
        Measured("assign_undo", f"{CLIENTS} copies taken back; floor: handing out", median(undo_ms), p95(undo_ms), 0,
                 1000 * CLIENTS / median(rates)),
    ]  # fmt: skip


def _clients(stage: Stage) -> list[Client]:
    names = [f"Measured {n}" for n in range(CLIENTS)]
    rows = [Client(practice=stage.owner.practice, coach=stage.owner, name=name, folded=fold(name)) for name in names]
    return Client.objects.bulk_create(rows)


def _begun(stage: Stage, template: Program, clients: Sequence[Client]) -> Rollout:
    now = timezone.now()
    today = today_for(stage.owner.practice, now)
    version = version_to_assign(by=stage.owner, program=template, now=now)
    return hand_out(
        by=stage.owner, program=template, version=version, takes_present=False, client_ids=[c.pk for c in clients],
        start_on=today, today=today, now=now,
    )  # fmt: skip


def _handed(stage: Stage, template: Program, clients: Sequence[Client]) -> tuple[float, Act]:
    """Seconds for all of them, and the act."""
    rollout = _begun(stage, template, clients)
    began = perf_counter()
    run(rollout.pk)
    took, row = perf_counter() - began, Rollout.objects.select_related("act").get(pk=rollout.pk)
    if row.done != len(clients) or row.act is None:
        raise RuntimeError(f"{row.done} of {len(clients)} clients got their copy: {row.problem}")
    return took, row.act


def _bare(act: Act) -> float:
    """Seconds to insert the same rows again in one transaction, ready made; they are rolled back."""
    took = 0.0
    with transaction.atomic():
        ids = list(copies_of(act).values_list("pk", flat=True))
        for start in range(0, len(ids), SLICE):
            for rows in _again(ids[start : start + SLICE]):
                began = perf_counter()
                type(rows[0])._default_manager.bulk_create(rows)
                took += perf_counter() - began
        transaction.set_rollback(True)
    return took


def _again(ids: Sequence[int]) -> Iterator[list[models.Model]]:
    """The rows of these programmes without their keys, table by table."""
    for rows in (
        Program.objects.filter(pk__in=ids), Block.objects.filter(program__in=ids),
        PlannedSession.objects.filter(block__program__in=ids),
        PlannedExercise.objects.filter(session__block__program__in=ids),
    ):  # fmt: skip
        made: list[models.Model] = list(rows)
        for row in made:
            row.pk = None
        yield made


def _chunk(stage: Stage, template: Program, clients: Sequence[Client]) -> tuple[float, int]:
    """Peak megabytes that Python held for the biggest chunk there is, and its queries."""
    rollout = _begun(stage, template, clients[:MOST])
    body = version_body(rollout.of)
    tracemalloc.start()
    try:
        row = hand_to_some(rollout=rollout, body=body, at_once=MOST, now=timezone.now())
        peak = tracemalloc.get_traced_memory()[1] / MEGABYTE
    finally:
        tracemalloc.stop()
    assert row.act is not None
    take_back(row.act, stage.owner)
    again = _begun(stage, template, clients[:MOST])
    with CaptureQueriesContext(connection) as caught:
        hand_to_some(rollout=again, body=body, at_once=MOST, now=timezone.now())
    return peak, len(caught)
