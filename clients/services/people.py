"""Creating, editing, archiving and restoring clients."""

from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError

from clients.models import Client
from clients.selectors import today_for, visible_clients
from clients.services.consent import ASKED, NOT_ASKED, check_consent, record_consent
from clients.services.handover import may_hand_over, note_handovers
from clients.services.stale import take_over
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import UndoConflict, guard, write
from coachdesk.practice.text import fold

OLDEST_BIRTH = date(1910, 1, 1)
YOUNGEST_YEARS = 5


def create_client(
    *,
    by: Membership,
    now: datetime,
    coach: Membership | None = None,
    consent_on: date | None = None,
    asked: str = ASKED,
    **fields: Any,
) -> Client:
    """A new client of `coach` (by default of the one who acts); `fields` are Client's own. ValidationError.

    Unit and time zone are the practice's unless given. `consent_on`: the day they agreed, when `asked` so, that health
    notes are kept; without it a body mass is refused.
    """
    fields = {"unit": by.practice.unit, "time_zone": by.practice.time_zone, **fields}
    row = Client(practice=by.practice, coach=coach or by, **fields)
    with write(f"Add client {row.name}", by=by, at=now) as tape:
        _check(row, by=by, now=now)
        if row.body_mass is not None and consent_on is None:
            raise ValidationError({"body_mass": f"{row.name} {NOT_ASKED}"})
        made = tape.create(row)
        if not tape.act.subject:
            tape.act.subject = f"client:{made.pk}"
            tape.act.save(update_fields=["subject"])
        if consent_on is not None:
            record_consent(by=by, client=made, now=now, asked_on=consent_on, given=True, words=asked)
        return made


def edit_client(*, by: Membership, client: Client, version: int, now: datetime, **fields: Any) -> Client:
    """Change `fields` of a client last seen at `version`. Raises StaleEdit, ValidationError."""
    with write(f"Edit client {client.name}", by=by, subject=f"client:{client.pk}", at=now) as tape:
        row = tape.lock(client)
        was = {row.pk: row.coach_id}
        row = take_over(row, version=version, fields=fields)
        if row.body_mass not in (None, client.body_mass):
            check_consent(client, "body_mass")
        _check(row, by=by, now=now)
        tape.save(row)
        note_handovers(tape, [row], was, by=by, now=now)
        return row


def archive_client(*, by: Membership, client: Client, now: datetime) -> Client:
    """Take a client off the lists; everything is kept. Does nothing to one already archived."""
    with write(f"Archive client {client.name}", by=by, subject=f"client:{client.pk}", at=now) as tape:
        row = tape.lock(client)
        row.archived_on = row.archived_on or today_for(row, now)
        return tape.save(row)


def restore_client(*, by: Membership, client: Client, now: datetime) -> Client:
    """Put an archived client back on the lists."""
    with write(f"Restore client {client.name}", by=by, subject=f"client:{client.pk}", at=now) as tape:
        row = tape.lock(client)
        row.archived_on = None
        return tape.save(row)


def _check(row: Client, *, by: Membership, now: datetime) -> None:
    """What the database cannot say about a client; sets the folded name."""
    row.folded = fold(row.name)[:240]
    errors: dict[str, str] = {}
    if row.name.strip() and not any(char.isalnum() for char in row.folded):
        errors["name"] = f"'{row.name[:40]}' holds no letter; write the name as it should stand on the sheet."
    if row.place_id is not None and row.place.practice_id != by.practice_id:  # type: ignore[union-attr]
        errors["place"] = "This place belongs to another practice; choose one of your own."
    errors.update(_zone_error(row.time_zone))
    if not errors:
        today = today_for(row, now)
        if row.body_mass is None:
            row.body_mass_on = None
        else:
            row.body_mass_on = row.body_mass_on or today
        errors.update(_date_errors(row, today))
    if errors:
        raise ValidationError(errors)
    _check_coach(row, by=by)


def _check_coach(row: Client, *, by: Membership) -> None:
    if row.coach.practice_id != by.practice_id or not row.coach.can_write or row.coach.left_at is not None:
        raise ValidationError({"coach": f"{row.coach.user.name} is no coach of this practice; choose one who is."})
    if row.coach_id != by.pk:
        may_hand_over(by)


def _zone_error(name: str) -> dict[str, str]:
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        return {"time_zone": f"'{name[:40]}' is not a time zone; write it like 'Europe/Lisbon' or 'UTC'."}
    return {}


def _date_errors(row: Client, today: date) -> dict[str, str]:
    errors = {}
    born, since = row.born_on, row.training_since_on
    youngest = today - timedelta(days=366 * YOUNGEST_YEARS)
    if isinstance(born, date) and not OLDEST_BIRTH <= born <= youngest:
        errors["born_on"] = f"{born:%d %b %Y} cannot be a birth date here; write one from 1910 to {youngest:%b %Y}."
    if isinstance(since, date) and since > today:
        errors["training_since_on"] = f"{since:%d %b %Y} is in the future; write the day training began, or nothing."
    if isinstance(since, date) and isinstance(born, date) and since < born:
        errors["training_since_on"] = f"{since:%d %b %Y} lies before the birth date; write a later day."
    if isinstance(row.body_mass_on, date) and not OLDEST_BIRTH <= row.body_mass_on <= today:
        errors["body_mass_on"] = (
            f"{row.body_mass_on:%d %b %Y} is no day to have measured on; write today or an earlier one."
        )
    return errors


def _still_theirs(by: Membership, act: Act) -> None:
    """One's own act on a client who was given to another coach since is no longer one's own to undo."""
    if by.role == Membership.Role.OWNER:
        return
    ids: set[int] = set()
    for change in act.changes.all():
        if change.model == Client._meta.label_lower:
            ids.add(change.row)
        ids.update(
            values["client_id"] for values in (change.before, change.after) if values and values.get("client_id")
        )
    mine = visible_clients(by).order_by().values("pk")
    if Client.objects.filter(pk__in=ids).exclude(pk__in=mine).exists():
        raise UndoConflict(f"'{act.label}' concerns a client of another coach now; ask them or the owner.")


guard(_still_theirs)
