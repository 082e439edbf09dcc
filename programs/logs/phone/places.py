"""Training somewhere else today: the session handed out anew for another place that the client's plan knows."""

from datetime import datetime
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import Q

from clients.models import Client, Place
from coachdesk.practice.tape import write
from programs.logs.models import PhoneEntry
from programs.logs.phone.services import SOURCE, refuse_replay
from programs.logs.phone.visit import logs_of
from programs.logs.services.replays import Replayed
from programs.logs.services.subjects import subject_of
from programs.models import IssuedSheet, PlannedSession
from programs.services import HandoverStopped
from programs.services.sheets import handover_view, issue_shown

BEGUN = "Sets are logged on this sheet already; finish it here, and swap what this place does not have."
STOPPED = "Your coach must look at this session before it is handed out anew; write to them."


def places_for(sheet: IssuedSheet) -> list[Place]:
    """Where else this client trains, by name: their usual place and those of their plan. No other place is named."""
    if sheet.planned_session is None:
        return []
    planned = PlannedSession.objects.filter(block__program__client=sheet.client, block__program__archived_on=None)
    rows = Place.objects.filter(
        Q(pk=sheet.client.place_id) | Q(pk__in=planned.exclude(place=None).values("place")),
        practice=sheet.client.practice_id,
    )
    return list(rows.exclude(name=sheet.body["place"]).order_by("name", "id"))


def change_place(*, client: Client, sheet: IssuedSheet, place: int, key: UUID, now: datetime) -> IssuedSheet:
    """The sheet of the same session at another place; under a known key the one that was made then.

    Raises KeyReused, and ValidationError where a set is logged, the place is not the client's, or a stop stands open.
    """
    there = next((one for one in places_for(sheet) if one.pk == place), None)
    session = sheet.planned_session
    if there is None or session is None:
        raise ValidationError("Choose one of the places that are listed.")
    log, _ = logs_of(client, sheet)
    if log is not None:
        raise ValidationError(BEGUN)
    view = handover_view(session, now, at=there)
    row = PhoneEntry(client=client, key=key, kind="place", payload={"place": place}, at=now, done_on=sheet.for_on)
    label = f"Hand out {session.name} at {there.name}, {client.name} on the phone"
    try:
        with write(label, practice=client.practice, subject=subject_of(sheet.uid), source=SOURCE, at=now) as tape:
            tape.lock(client)
            row.sheet = issue_shown(by=None, view=view, session=session, now=now)
            refuse_replay(row)
            tape.create(row, record=False)
    except Replayed:
        pass
    except HandoverStopped:
        raise ValidationError(STOPPED) from None
    made: IssuedSheet = row.sheet  # type: ignore[assignment]
    return made
