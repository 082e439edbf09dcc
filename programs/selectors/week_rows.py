"""What this week's flags of many clients stand on, fetched in five queries whatever the number of clients."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q

from clients.models import Client, Equipment
from clients.selectors import give_traits, trait_rows
from coachdesk.practice.one_trip import keep, one_trip
from programs.models import (
    Block,
    FlagDecision,
    PainReport,
    PlannedExercise,
    PlannedSession,
    Program,
    StrengthEstimate,
    TimedBest,
)
from programs.selectors.context import facts_rows, gathered_facts
from programs.selectors.pain import by_client, report_rows
from programs.selectors.program_facts import with_exercises
from programs.selectors.programs import running, this_week, weeks_of


@dataclass(frozen=True)
class WeekRows:
    """Clients whose programme has begun or begins next week (then `weeks` says 0); what is theirs by client id.

    `decided` holds (programme, flag id).
    """

    clients: tuple[Client, ...]
    programs: dict[int, Program]
    weeks: dict[int, int]
    sessions: dict[int, list[PlannedSession]]
    estimates: dict[int, list[StrengthEstimate]]
    decided: set[tuple[int, str]]
    facts: dict[int, Any]
    pains: dict[int, list[PainReport]]
    bests: dict[int, list[TimedBest]]


def week_rows(clients: Sequence[Client], today: date) -> WeekRows:
    """Last week, this one and the next of each client's programme, with all that the engine is told about them."""
    ids, practices = [client.pk for client in clients], {client.practice_id for client in clients}
    live = Q(client__in=ids, archived_on=None)
    *traits, programs, blocks, decided, facts, away, dates, tested, reports, equipment, bests = one_trip(
        *trait_rows(clients),
        Program.objects.filter(live),
        Block.objects.filter(program__client__in=ids, program__archived_on=None),
        FlagDecision.objects.filter(program__client__in=ids).values_list("program_id", "flag_id"),
        *facts_rows(ids),
        report_rows(ids, today),
        Equipment.objects.filter(place__practice__in=practices),
        TimedBest.objects.filter(client__in=ids),
    )
    give_traits(clients, traits)
    current = running(_counted(programs, blocks), today)
    weeks = {pk: week for pk, one in current.items() if one.start_on and (week := this_week(one, today)) >= 0}
    sessions = _sessions({current[pk].pk: week for pk, week in weeks.items()})
    planned = [session for some in sessions.values() for session in some]
    with_exercises(planned, PlannedExercise.objects.filter(session__in=[one.pk for one in planned]), reports)
    keep([place for place in _places(clients, planned) if place], "equipment", equipment)
    return WeekRows(
        tuple(client for client in clients if client.pk in weeks), current, weeks,
        {pk: sessions.get(current[pk].pk, []) for pk in weeks}, _estimates(weeks), set(decided),
        gathered_facts(facts, away, dates, tested), by_client(reports), by_client(bests),
    )  # fmt: skip


def _counted(programs: list[Program], blocks: list[Block]) -> list[Program]:
    keep(programs, "blocks", blocks)
    for program in programs:
        program.week_count = weeks_of(program.blocks.all())  # type: ignore[attr-defined]
    return programs


def _sessions(weeks: dict[int, int]) -> dict[int, list[PlannedSession]]:
    """Planned sessions of these weeks and those beside them by programme id, in order."""
    rows = PlannedSession.objects.filter(_three_weeks(weeks)).select_related("place", "block")
    found: dict[int, list[PlannedSession]] = {}
    for row in rows.order_by("week_no", "day", "position", "id"):
        found.setdefault(row.block.program_id, []).append(row)
    return found


def _three_weeks(weeks: dict[int, int]) -> Q:
    """Planned sessions of each programme's own three weeks: programmes run from different days."""
    by_week: dict[int, list[int]] = {}
    for program_id, week_no in weeks.items():
        by_week.setdefault(week_no, []).append(program_id)
    wanted = Q(pk__in=[])
    for week_no, program_ids in by_week.items():
        wanted |= Q(block__program__in=program_ids, week_no__in=(week_no - 1, week_no, week_no + 1))
    return wanted


def _places(clients: Iterable[Client], sessions: Iterable[PlannedSession]) -> list[Any]:
    return [client.place for client in clients] + [session.place for session in sessions]


def _estimates(clients: Iterable[int]) -> dict[int, list[StrengthEstimate]]:
    found: dict[int, list[StrengthEstimate]] = {}
    for row in StrengthEstimate.objects.filter(client__in=list(clients)):
        found.setdefault(row.client_id, []).append(row)
    return found
