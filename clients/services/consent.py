"""Consent to health notes: asking, withdrawing, and erasing what was kept under it."""

from collections.abc import Callable
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import models

from clients.models import Client, HealthConsent, Precaution, Screening
from clients.selectors import health_consent, today_for
from coachdesk.practice.models import Change, Membership
from coachdesk.practice.tape import Tape, write

ASKED = (
    "May I keep notes about your health: answers to screening questions, what to work around, what you say about pain,"
    " and your body mass? I use them to choose loads and exercises. You may say no, and take it back at any time."
)
NOT_ASKED = "has not been asked whether health notes may be kept; ask first, on the page Data."
# Told by the apps above: what else holds health notes, erased within the same transaction.
_erasing: list[Callable[[Client], None]] = []


def with_health_erasure(erase: Callable[[Client], None]) -> None:
    """Register `erase(client)` to run when a client's health notes are erased."""
    _erasing.append(erase)


def check_consent(client: Client, field: str = "__all__") -> None:
    """Raises ValidationError unless the client agreed that health notes are kept."""
    latest = health_consent(client)
    if latest is None or not latest.holds:
        why = NOT_ASKED if latest is None else "does not agree that health notes are kept, so this is not kept."
        raise ValidationError({field: f"{client.name} {why}"})


def record_consent(
    *, by: Membership, client: Client, now: datetime, asked_on: date, given: bool, words: str
) -> HealthConsent:
    """Keep what the client answered, and what they were asked. ValidationError for a day to come."""
    if asked_on > today_for(client, now):
        raise ValidationError({"asked_on": f"{asked_on:%d %b %Y} is in the future; write the day of asking."})
    latest = health_consent(client)
    if latest is not None and asked_on < latest.asked_on:
        raise ValidationError({"asked_on": f"They were asked on {latest.asked_on:%d %b %Y} already; a later day."})
    answer = "agrees" if given else "does not agree"
    with write(f"{client.name} {answer} to health notes", by=by, subject=f"client:{client.pk}", at=now) as tape:
        return tape.create(HealthConsent(client=client, asked_on=asked_on, given=given, words=words, asked_by=by))


def withdraw_consent(*, by: Membership, client: Client, now: datetime, erase: bool) -> None:
    """Note that the client took it back; `erase` takes the notes away with it. Does nothing when none holds."""
    with write(f"{client.name} withdraws consent", by=by, subject=f"client:{client.pk}", at=now) as tape:
        latest = health_consent(tape.lock(client))
        if latest is not None and latest.holds:
            row = tape.lock(latest)
            row.withdrawn_on = max(today_for(client, now), row.asked_on)
            tape.save(row)
            if erase:
                erase_health(tape=tape, client=client, now=now)


def erase_health(*, tape: Tape, client: Client, now: datetime) -> None:
    """Within an act: erase screenings, precautions, body mass and pain notes, on the tape too; for good."""
    for model in (Screening, Precaution):
        ids = list(model.objects.filter(client=client).values_list("pk", flat=True))
        model.objects.filter(pk__in=ids).delete()
        on_tape = Change.objects.filter(model=model._meta.label_lower)
        # Rows deleted before are known by the client they name.
        for some in (on_tape.filter(row__in=ids), *_naming(on_tape, client)):
            some.update(before=None, after=None)
        for pk in ids:
            tape.note_erased(model, pk)
    for erase in _erasing:
        erase(client)
    Client.objects.filter(pk=client.pk).update(body_mass=None, body_mass_on=None)
    _forget_body_mass(client)
    HealthConsent.objects.filter(client=client).update(erased_at=now)


def _naming(changes: "models.QuerySet[Change]", client: Client) -> "tuple[models.QuerySet[Change], ...]":
    return changes.filter(before__client_id=client.pk), changes.filter(after__client_id=client.pk)


def _forget_body_mass(client: Client) -> None:
    for change in Change.objects.filter(model=Client._meta.label_lower, row=client.pk).order_by("id"):
        for values in (change.before, change.after):
            if values:
                values |= {"body_mass": None, "body_mass_on": None}
        change.save(update_fields=["before", "after"])
