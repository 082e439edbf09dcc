"""Making, rotating and revoking a client's links; the token is given once and kept nowhere."""

import logging
from datetime import date, datetime, timedelta
from uuid import UUID, uuid4

from django.core.exceptions import ValidationError

from clients.models import Client, ClientLink
from clients.records.erased import LINK, add_line, erased
from clients.selectors import today_for
from coachdesk.practice.digest import digest_of, new_token
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.rows import parts
from coachdesk.practice.tape import Tape, UndoConflict, guard, write

log = logging.getLogger(__name__)
LIFE, LONGEST_LIFE = timedelta(days=180), timedelta(days=366)


def make_link(
    *,
    by: Membership,
    client: Client,
    label: str,
    now: datetime,
    kind: str = ClientLink.Kind.PHONE,
    expires_on: date | None = None,
    key: UUID | None = None,
) -> tuple[ClientLink, str]:
    """A new link and its token, which nobody can be shown again. `expires_on`: by default 180 days from today.

    Raises ValidationError for a last day before today or over 366 days ahead, for an archived client, and when the
    form with this `key` has made its link already.
    """
    with write(f"Make a link for {client.name}", by=by, subject=f"client:{client.pk}", at=now) as tape:
        row = tape.lock(client)
        today = today_for(row, now)
        last = expires_on or today + LIFE
        if row.archived_on is not None:
            raise ValidationError(f"{row.name} is archived, so no link would open; restore them first.")
        if not today <= last <= today + LONGEST_LIFE:
            right = f"write a day from {today:%d %b %Y} to {today + LONGEST_LIFE:%d %b %Y}"
            raise ValidationError({"expires_on": f"{last:%d %b %Y} cannot be the last day of a link; {right}."})
        if key is not None and row.links.filter(key=key).exists():
            raise ValidationError("This link is made already, and its address was shown once. Rotate it for another.")
        fresh = ClientLink(client=row, kind=kind, label=label, key=key or uuid4(), made_on=today, made_by=by)
        fresh.expires_on = last
        return _create(tape, fresh)


def rotate_link(*, by: Membership, link: ClientLink, now: datetime) -> tuple[ClientLink, str]:
    """Revoke a link and make another of the same label, kind and number of days; gives it and its token.

    Raises ValidationError when it is revoked already, as at a second press: one press, one new link.
    """
    with write(f"Rotate a link of {link.client.name}", by=by, subject=f"client:{link.client_id}", at=now) as tape:
        # The client first, as everywhere: two who take the same locks in two orders wait for each other.
        client, row = tape.lock(link.client), tape.lock(link)
        if row.revoked_at is not None:
            raise ValidationError(f"'{row.label}' is revoked already; its newest link stands in the list.")
        if client.archived_on is not None:
            raise ValidationError(f"{client.name} is archived, so no link would open; restore them first.")
        today = today_for(client, now)
        _remember(row, now)
        _revoke(tape, row, now)
        fresh = ClientLink(client=client, kind=row.kind, label=row.label, made_on=today, made_by=by)
        fresh.expires_on = today + (row.expires_on - row.made_on)
        return _create(tape, fresh)


def revoke_link(*, by: Membership, link: ClientLink, now: datetime) -> ClientLink:
    """Make a link stop at once and for good. Does nothing to one that is revoked already."""
    with write(f"Revoke a link of {link.client.name}", by=by, subject=f"client:{link.client_id}", at=now) as tape:
        row = tape.lock(link)
        if row.revoked_at is not None:
            return row
        _remember(row, now)
        return _revoke(tape, row, now)


def revoke_again(*, now: datetime) -> int:
    """Revoke whatever link was revoked before and came back, as with an old backup; gives how many."""
    keys = sorted({one.uid for one in erased() if one.what == LINK})
    back = [row for part in parts(keys) for row in ClientLink.objects.filter(key__in=part, revoked_at=None)]
    for row in back:
        client = row.client
        label, subject = f"Revoke a link of {client.name}", f"client:{client.pk}"
        with write(label, practice=client.practice, subject=subject, source="restore", at=now) as tape:
            _revoke(tape, tape.lock(row), now)
    return len(back)


def _remember(link: ClientLink, now: datetime) -> None:
    """Note outside the database that a link goes, so that no backup brings it back.

    A disk that refuses the line must not keep the link of a lost phone open: then it is only logged.
    """
    try:
        add_line(LINK, link.key, now)
    except OSError as problem:
        log.warning("The list of revoked links cannot be written: %s", type(problem).__name__)


def _create(tape: Tape, link: ClientLink) -> tuple[ClientLink, str]:
    token = new_token()
    link.token_hash = digest_of(token)
    return tape.create(link), token


def _revoke(tape: Tape, row: ClientLink, now: datetime) -> ClientLink:
    row.revoked_at, row.token_hash = now, None
    return tape.save(row)


def _no_way_back(by: Membership, act: Act) -> None:
    """Revoking answers a lost phone: a press on Undo a day later must not open the door again.

    Nor is making undone: the row says that there was a link, and revoking it is the plain way to end it.
    """
    if act.changes.filter(model=ClientLink._meta.label_lower).exists():
        raise UndoConflict("Links are not undone: revoke one that should stop, make a new one in place of a revoked.")


guard(_no_way_back)
