"""Reading templates and their versions: what a programme is now, what it was, and who runs it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, F, Max, Q, QuerySet

from clients.selectors import visible_clients
from coachdesk.practice.models import Membership
from programs.bodies import Body, body_from_json, body_of, body_to_json
from programs.models import PlannedSession, Program, TemplateVersion
from programs.selectors.programs import visible_programs


def visible_templates(desk: Membership) -> QuerySet[Program]:
    """Every template of the practice, whoever made it."""
    return visible_programs(desk).filter(client=None)


def visible_copies(desk: Membership) -> QuerySet[Program]:
    """Programmes of visible clients that were made of a version."""
    rows = visible_programs(desk).filter(client__isnull=False, origin_version__isnull=False)
    return rows.select_related("client__practice", "coach__user", "practice", "origin_version__program")


def present_body(program: Program) -> Body:
    """The programme as it stands now; four queries."""
    rows = PlannedSession.objects.filter(block__program=program).select_related("place")
    return body_of(program, program.blocks.order_by("first_week", "id"), rows.prefetch_related("exercises__exercise"))


def version_body(version: TemplateVersion) -> Body:
    """The template as it was."""
    return body_from_json(version.body)


def latest_version(program: Program) -> TemplateVersion | None:
    """The version saved last, or None."""
    return program.versions.select_related("by__user").order_by("-number").first()


def is_saved(body: Body, version: TemplateVersion | None) -> bool:
    """Whether a version holds exactly this."""
    return version is not None and body_to_json(version_body(version)) == body_to_json(body)


def version_rows(program: Program, desk: Membership) -> QuerySet[TemplateVersion]:
    """A template's versions, newest first, with how many programmes of visible clients came of each."""
    seen = Q(copies__archived_on=None, copies__client__in=visible_clients(desk).order_by().values("pk"))
    rows = program.versions.select_related("by__user").defer("body")
    return rows.annotate(copy_count=Count("copies", filter=seen, distinct=True)).order_by("-number")


def running_counts(templates: Sequence[Program], desk: Membership, today: date) -> dict[int, int]:
    """How many visible clients run a copy of each template that day; one query."""
    found: dict[int, set[int | None]] = {}
    for row in copy_rows(templates, desk, today):
        if row.is_running and row.program.origin_id is not None:
            found.setdefault(row.program.origin_id, set()).add(row.program.client_id)
    return {pk: len(clients) for pk, clients in found.items()}


@dataclass(frozen=True)
class Origin:
    """What a client's programme was made of, and the number of a newer version if there is one."""

    template: Program
    number: int | None
    newer: int | None


def origin_of(program: Program) -> Origin | None:
    """None for a template and for a programme made from scratch; two queries."""
    if program.client_id is None or program.origin_id is None:
        return None
    rows = Program.objects.filter(pk=program.origin_id, client=None).annotate(newest=Max("versions__number"))
    template = rows.first()
    if template is None:
        return None
    number = TemplateVersion.objects.filter(copies=program).values_list("number", flat=True).first()
    newest = template.newest
    return Origin(template, number, newest if number and newest and newest > number else None)


@dataclass(frozen=True)
class CopyRow:
    """A client's copy of a template: its last day, and whether it runs on the day asked for."""

    program: Program
    until_on: date
    is_running: bool


def copy_rows(templates: Sequence[Program], desk: Membership, today: date) -> list[CopyRow]:
    """Unarchived copies of these templates that visible clients have and that are not over, by client."""
    clients = visible_clients(desk).filter(archived_on=None).order_by().values("pk")
    rows = Program.objects.filter(origin__in=templates, archived_on=None, client__in=clients)
    rows = rows.annotate(week_count=Max(F("blocks__first_week") + F("blocks__weeks") - 1))
    rows = (
        rows.select_related("client", "origin_version")
        .defer("origin_version__body")
        .order_by("client__folded", "start_on", "id")
    )
    found = []
    for row in rows:
        assert row.start_on is not None
        until = row.start_on + timedelta(weeks=row.week_count or 0, days=-1)
        if until >= today:
            found.append(CopyRow(row, until, row.start_on <= today))
    return found
