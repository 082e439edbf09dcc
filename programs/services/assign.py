"""Copying a whole programme: to a client, or a client's programme to a template."""

from collections.abc import Iterable
from datetime import date, datetime

from django.utils import timezone

from clients.models import Client, Place
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from programs.bodies import Body, rows_of
from programs.models import Block, PlannedExercise, PlannedSession, Program, TemplateVersion
from programs.selectors.versions import present_body, version_body
from programs.services.programs import check_start
from programs.services.versions import version_to_assign


def fill(program: Program, body: Body) -> None:
    """Insert everything inside a new programme; the tape records the programme alone."""
    fill_many([(program, body)])


def fill_many(made: Iterable[tuple[Program, Body]]) -> None:
    """As `fill` for several new programmes, in one insert a table."""
    pairs = list(made)
    wanted = {s.values["place_id"] for _, body in pairs for s in body.sessions.values()} - {None}
    places = set(Place.objects.filter(pk__in=wanted).values_list("pk", flat=True)) if wanted else set()
    rows = [rows_of(body, program, places=places) for program, body in pairs]
    Block.objects.bulk_create([one for r in rows for one in r.blocks])
    PlannedSession.objects.bulk_create([one for r in rows for one in r.sessions])
    PlannedExercise.objects.bulk_create([one for r in rows for one in r.exercises])


def copy_for(
    *, program: Program, version: TemplateVersion | None, client: Client, start_on: date, name: str = ""
) -> Program:
    """The unsaved root of a client's own copy."""
    return Program(
        practice=client.practice, coach=client.coach, client=client, name=name or program.name, start_on=start_on,
        origin=program, origin_version=version,
    )  # fmt: skip


def assign_program(
    *, by: Membership, program: Program, client: Client, start_on: date, today: date, name: str = "",
    now: datetime | None = None,
) -> Program:  # fmt: skip
    """The client's own copy of a programme as it stands, starting on the Monday on or after `start_on`.

    A template is saved as a version first, unless one holds it as it stands: an act of its own. Rows keep their
    uid, so that later versions can be compared with the copy.
    """
    start = check_start(start_on, today)
    version = version_to_assign(by=by, program=program, now=now or timezone.now()) if program.is_template else None
    with write(f"Assign {program.name} to {client.name}", by=by, subject=f"client:{client.pk}") as tape:
        made = tape.create(copy_for(program=program, version=version, client=client, start_on=start, name=name))
        fill(made, version_body(version) if version else present_body(program))
    return made


def save_as_template(*, by: Membership, program: Program, name: str) -> Program:
    """A template with the same weeks, without client and dates."""
    with write(f"Save {program.name} as template {name}", by=by) as tape:
        made = tape.create(Program(practice=by.practice, coach=by, name=name, origin=program))
        fill(made, present_body(program))
    return made
