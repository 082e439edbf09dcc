"""Reading programmes: which ones, which is running, what is planned on a day."""

from collections.abc import Iterable
from datetime import date, timedelta

from django.db.models import Count, F, Max, OuterRef, Q, QuerySet, Subquery

from clients.models import Client
from clients.selectors import visible_clients
from coachdesk.practice.models import Membership
from coachdesk.practice.text import fold
from programs.models import Block, IssuedSheet, PlannedExercise, PlannedSession, Program, TemplateVersion


def visible_programs(desk: Membership) -> QuerySet[Program]:
    """Programmes of visible clients, and every template of the practice."""
    rows = Program.objects.filter(practice_id=desk.practice_id)
    seen = rows.filter(Q(client=None) | Q(client__in=visible_clients(desk)))
    return seen.select_related("client__place", "client__practice", "coach__user", "practice")


def visible_sessions(desk: Membership) -> QuerySet[PlannedSession]:
    """Planned sessions of visible programmes."""
    rows = PlannedSession.objects.filter(block__program__in=visible_programs(desk))
    return rows.select_related("block__program__client__place", "block__program__practice", "place")


def visible_planned_exercises(desk: Membership) -> QuerySet[PlannedExercise]:
    """Planned exercises of visible programmes."""
    rows = PlannedExercise.objects.filter(session__block__program__in=visible_programs(desk))
    return rows.select_related(
        "exercise", "session__block__program__client__place", "session__block__program__practice", "session__place"
    )


def visible_blocks(desk: Membership) -> QuerySet[Block]:
    """Blocks of visible programmes."""
    rows = Block.objects.filter(program__in=visible_programs(desk))
    return rows.select_related("program__client__place", "program__practice")


def sessions_in_order(program: Program) -> QuerySet[PlannedSession]:
    """A programme's sessions by week, day and order within the day, each with the number of its exercises."""
    rows = PlannedSession.objects.filter(block__program=program).annotate(exercise_count=Count("exercises"))
    return rows.select_related("block").order_by("week_no", "day", "position", "id")


def block_rows(program: Program) -> QuerySet[Block]:
    """A programme's blocks in order, each with the number of its sessions."""
    rows = program.blocks.annotate(session_count=Count("sessions"))
    return rows.order_by("first_week", "id")


def planned_session(planned: PlannedExercise) -> PlannedSession:
    """The session of a planned exercise with everything that prescribing it reads."""
    rows = PlannedSession.objects.filter(pk=planned.session_id).select_related("place")
    return rows.prefetch_related("exercises__exercise__muscles").get()


def visible_sheets(desk: Membership) -> QuerySet[IssuedSheet]:
    """Sheets issued to visible clients."""
    rows = IssuedSheet.objects.filter(client__in=visible_clients(desk))
    return rows.select_related("client", "planned_session__block__program")


def program_rows(desk: Membership, *, query: str = "", templates: bool | None = None) -> QuerySet[Program]:
    """Programmes with weeks, sessions, newest version and what they were made of; templates first, then by client."""
    rows = visible_programs(desk).filter(archived_on=None)
    if templates is not None:
        rows = rows.filter(client__isnull=templates)
    for word in fold(query).split():
        rows = rows.filter(Q(name__icontains=word) | Q(client__folded__contains=word))
    saved = TemplateVersion.objects.filter(program=OuterRef("pk")).order_by("-number")
    rows = rows.annotate(
        week_count=Max(F("blocks__first_week") + F("blocks__weeks") - 1),
        session_count=Count("blocks__sessions", distinct=True),
        newest=Subquery(saved.values("number")[:1]), made_of=F("origin_version__number"), made_from=F("origin__name"),
    )  # fmt: skip
    return rows.order_by(F("client__folded").asc(nulls_first=True), "name", "id")


def programs_of(client: Client) -> QuerySet[Program]:
    """A client's programmes, newest start first."""
    rows = client.programs.filter(archived_on=None).annotate(
        week_count=Max(F("blocks__first_week") + F("blocks__weeks") - 1)
    )
    return rows.order_by("-start_on", "-id")


def weeks_of(blocks: Iterable[Block]) -> int:
    """How many weeks a programme's blocks span."""
    return max((b.first_week + b.weeks - 1 for b in blocks), default=0)


def current_programs(clients: Iterable[Client], on: date) -> dict[int, Program]:
    """The programme running on a date for each client, by client id; the one that began last where two overlap.

    One that has not begun stands in where none runs.
    """
    rows = Program.objects.filter(client__in=[c.pk for c in clients], archived_on=None)
    return running(rows.annotate(week_count=Max(F("blocks__first_week") + F("blocks__weeks") - 1)), on)


def running(programs: Iterable[Program], on: date) -> dict[int, Program]:
    """As `current_programs`, from programmes that know their `week_count`."""
    found: dict[int, Program] = {}
    dated = [(row.start_on, row) for row in programs if row.client_id is not None and row.start_on is not None]
    for start_on, row in sorted(dated, key=lambda pair: (pair[0], pair[1].pk)):
        now = start_on <= on < start_on + timedelta(weeks=row.week_count or 0)  # type: ignore[attr-defined]
        upcoming = start_on > on and row.client_id not in found
        if now or upcoming:
            found[row.client_id] = row  # type: ignore[index]
    return found


def this_week(program: Program, on: date) -> int:
    """The number of the programme's week on a day; below 1 before it starts, 1 for a template."""
    return (on - program.start_on).days // 7 + 1 if program.start_on else 1


def current_program(client: Client, on: date) -> Program | None:
    """The programme running on a date, or the next one."""
    return current_programs([client], on).get(client.pk)


def session_on(session: PlannedSession) -> date | None:
    """The date a planned session falls on; None in a template."""
    start = session.block.program.start_on
    return start + timedelta(days=7 * (session.week_no - 1) + session.day) if start else None


def planned_days(clients: Iterable[Client], since: date, until: date) -> list[tuple[int, date, PlannedSession]]:
    """(client id, date, session) of everything planned from `since` to `until`, both included, in order."""
    rows = PlannedSession.objects.filter(
        block__program__client__in=[c.pk for c in clients], block__program__archived_on=None,
        block__program__start_on__lte=until,
    ).select_related("block__program")  # fmt: skip
    found = []
    for row in rows.order_by("block__program__start_on", "week_no", "day", "position", "id"):
        on = session_on(row)
        client_id = row.block.program.client_id
        if on is not None and client_id is not None and since <= on <= until:
            found.append((client_id, on, row))
    return sorted(found, key=lambda item: (item[0], item[1]))
