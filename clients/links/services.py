"""Making, rotating and revoking a client's links; the token is given once and kept nowhere."""

from datetime import date, datetime, timedelta
from uuid import UUID, uuid4

from django.core.exceptions import ValidationError

from clients.models import Client, ClientLink
from clients.selectors import today_for
from coachdesk.practice.digest import digest_of, new_token
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import Tape, UndoConflict, guard, write

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
        _revoke(tape, row, now)
        fresh = ClientLink(client=client, kind=row.kind, label=row.label, made_on=today, made_by=by)
        fresh.expires_on = today + (row.expires_on - row.made_on)
        return _create(tape, fresh)


def revoke_link(*, by: Membership, link: ClientLink, now: datetime) -> ClientLink:
    """Make a link stop at once and for good. Does nothing to one that is revoked already."""
    with write(f"Revoke a link of {link.client.name}", by=by, subject=f"client:{link.client_id}", at=now) as tape:
        row = tape.lock(link)
        return row if row.revoked_at is not None else _revoke(tape, row, now)


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
