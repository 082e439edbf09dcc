"""Everything that prescribing one programme reads, fetched in five queries however long it is."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet, TextField
from django.db.models.functions import Cast

from clients.models import Client, Equipment
from clients.selectors import give_traits, trait_rows
from coachdesk.practice.one_trip import keep, one_trip
from programs.mapping import read_scheme
from programs.models import (
    Block,
    Exercise,
    ExerciseMuscle,
    FlagDecision,
    PainReport,
    PlannedExercise,
    PlannedSession,
    Program,
    StrengthEstimate,
    TimedBest,
)
from programs.selectors.context import Facts, facts_rows, gathered_facts
from programs.selectors.pain import by_client, report_rows


@dataclass(frozen=True)
class ProgramFacts:
    """A programme's rows (sessions in order, with their exercises), and what is known of the client."""

    blocks: list[Block]
    sessions: list[PlannedSession]
    decided: dict[str, FlagDecision]
    estimates: list[StrengthEstimate]
    facts: Facts
    reports: list[PainReport]
    bests: list[TimedBest]


def program_facts(program: Program, client: Client | None, on: date, *, decisions: bool = True) -> ProgramFacts:
    """The rows to prescribe `program` from, for its own client or one it is looked at with, as of `on`.

    Without `decisions` one query less, and every flag counts as open.
    """
    clients = [client] if client else []
    ids = [one.pk for one in clients]
    *traits, blocks, equipment, estimates, facts, away, dates, tested, bests, reports = one_trip(
        *trait_rows(clients),
        Block.objects.filter(program=program.pk),
        Equipment.objects.filter(place__practice=program.practice_id),
        StrengthEstimate.objects.filter(client__in=ids),
        *facts_rows(ids),
        TimedBest.objects.filter(client__in=ids),
        report_rows(ids, on),
    )
    give_traits(clients, traits)
    blocks.sort(key=lambda block: (block.first_week, block.pk))
    sessions = _sessions(program, blocks)
    with_exercises(sessions, PlannedExercise.objects.filter(session__block__program=program.pk), reports)
    places = [client.place if client else None, *(session.place for session in sessions)]
    keep([place for place in places if place], "equipment", equipment)
    kept = program.flag_decisions.select_related("by__user") if decisions else ()
    decided = {row.flag_id: row for row in kept}
    mine = ids[0] if ids else 0
    told = gathered_facts(facts, away, dates, tested).get(mine, {})
    return ProgramFacts(blocks, sessions, decided, estimates, told, by_client(reports).get(mine, []), bests)


def _sessions(program: Program, blocks: Iterable[Block]) -> list[PlannedSession]:
    known = {block.pk: block for block in blocks}
    rows = PlannedSession.objects.filter(block__in=list(known)).select_related("place")
    found = list(rows.order_by("week_no", "day", "position", "id"))
    for session in found:
        session.block = known[session.block_id]
        session.block.program = program
    return found


def with_exercises(
    sessions: list[PlannedSession], planned: QuerySet[PlannedExercise], reports: Iterable[PainReport] = ()
) -> None:
    """Give sessions their planned exercises, and those and the reports their exercises with muscles and easier one.

    Two queries. The rows are for reading: they share what was read from equal schemes, and do not point back, so
    that a whole programme is gone with its last reader instead of waiting for the garbage collector.
    """
    rows = _rows(planned)
    keep(sessions, "exercises", rows, back=False)
    hurt = {row.exercise_id for row in reports if row.exercise_id}
    ids = {row.exercise_id for row in rows} | hurt
    exercises, muscles = one_trip(
        Exercise.objects.filter(Q(pk__in=ids) | Q(pk__in=Exercise.objects.filter(pk__in=hurt).values("easier"))),
        ExerciseMuscle.objects.filter(exercise__in=ids),
    )
    keep(exercises, "muscles", muscles, back=False)
    known: dict[int | None, Exercise] = {exercise.pk: exercise for exercise in exercises}
    for exercise in exercises:
        if exercise.easier_id in known:
            exercise.easier = known[exercise.easier_id]
    field = PlannedExercise._meta.get_field("exercise")
    for row in rows:
        field.set_cached_value(row, known[row.exercise_id])  # as `row.exercise =` does, without its checks
    for report in reports:
        report.exercise = known.get(report.exercise_id)


def _rows(planned: QuerySet[PlannedExercise]) -> list[PlannedExercise]:
    """The rows in order of id, each scheme taken as text and read once."""
    names = [field.attname for field in PlannedExercise._meta.concrete_fields]
    scheme = names.index("scheme")
    columns = [Cast("scheme", TextField()) if name == "scheme" else name for name in names]
    found = []
    for values in planned.order_by("id").values_list(*columns):
        row = list(values)
        row[scheme] = read_scheme(row[scheme])
        found.append(PlannedExercise.from_db(planned.db, names, row))
    return found
