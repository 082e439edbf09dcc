"""Where a client stands: screening, precautions, marked muscles."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta

from django.core.exceptions import ValidationError

from clients.models import Client, MarkedMuscle, Precaution, Screening
from clients.questions import EFFORTS, LONGEST_VALID_DAYS, QUESTIONS, default_expiry, referring
from clients.selectors import today_for
from clients.services.consent import check_consent
from clients.services.stale import merged_values
from coachdesk.engine import MUSCLES
from coachdesk.practice.models import Membership, Values
from coachdesk.practice.tape import write


def record_screening(
    *, by: Membership, client: Client, now: datetime, asked_on: date, answers: Mapping[str, str],
    cleared_until: date | None = None, valid_until: date | None = None, note: str = "",
) -> Screening:  # fmt: skip
    """Keep one round of answers and what follows from it; blank dates mean 12 months. ValidationError.

    Any answer that refers leads to 'see a clinician first' unless a clearance with its end is given.
    """
    check_consent(client)
    _check_answers(answers)
    today = today_for(client, now)
    if asked_on > today:
        raise ValidationError({"asked_on": f"{asked_on:%d %b %Y} is in the future; write the day of asking."})
    outcome = Screening.Outcome.CLEAR
    if cleared_until is not None:
        outcome = Screening.Outcome.CLEARED
    elif referring(answers):
        outcome = Screening.Outcome.REFER
    field = "cleared_until" if cleared_until else "valid_until"
    until = cleared_until or valid_until or default_expiry(asked_on)
    _check_until(field, asked_on, until)
    row = Screening(
        client=client,
        asked_on=asked_on,
        answers={"v": 1, **answers},
        outcome=outcome,
        expires_on=until,
        note=note,
    )
    with write(f"Record screening of {client.name}", by=by, subject=f"client:{client.pk}", at=now) as tape:
        return tape.create(row)


def _check_answers(answers: Mapping[str, str]) -> None:
    errors = {q.key: "Answer yes or no." for q in QUESTIONS if answers.get(q.key) not in ("yes", "no")}
    if answers.get("effort") not in dict(EFFORTS):
        errors["effort"] = "Choose light, moderate or hard."
    if errors:
        raise ValidationError(errors)


def _check_until(field: str, asked_on: date, until: date) -> None:
    latest = asked_on + timedelta(days=LONGEST_VALID_DAYS)
    if not asked_on <= until <= latest:
        raise ValidationError({field: f"{until:%d %b %Y} is not from {asked_on:%d %b %Y} to {latest:%d %b %Y}."})


def add_precaution(
    *,
    by: Membership,
    client: Client,
    now: datetime,
    words: str,
    code: str = "",
    muscle: str = "",
    since_on: date | None = None,
) -> Precaution:
    """Something to work around, in force from `since_on` (blank: always was)."""
    check_consent(client)
    row = Precaution(client=client, words=words, code=code, muscle=muscle, since_on=since_on)
    with write(f"Add a precaution for {client.name}", by=by, subject=f"client:{client.pk}", at=now) as tape:
        return tape.create(row)


def end_precaution(
    *, by: Membership, precaution: Precaution, now: datetime, until_on: date | None = None
) -> Precaution:
    """End a precaution: from `until_on` (blank: today) it is no longer in force. An ended one stays ended."""
    client = precaution.client
    with write(f"End a precaution of {client.name}", by=by, subject=f"client:{client.pk}", at=now) as tape:
        row = tape.lock(precaution)
        if row.until_on is None:
            end = until_on or today_for(client, now)
            if row.since_on is not None and end < row.since_on:
                raise ValidationError(f"It began {row.since_on:%d %b %Y}, so it cannot end {end:%d %b %Y}.")
            row.until_on = end
        return tape.save(row)


def mark_muscles(
    *,
    by: Membership,
    client: Client,
    now: datetime,
    marks: Mapping[str, str],
    base: Mapping[str, str] | None = None,
) -> None:
    """Set the aim of each muscle ('' takes the mark away). `base` is what was shown; raises StaleEdit.

    Muscles left out of `marks` stay as they are.
    """
    known, aims = {m.code for m in MUSCLES}, {"", *MarkedMuscle.Aim.values}
    wrong = {code: f"'{aim}' is not an aim; choose grow, hold, rehab or none." for code, aim in marks.items()
             if code not in known or aim not in aims}  # fmt: skip
    if wrong:
        raise ValidationError([f"{code}: {words}" for code, words in wrong.items()])
    with write(f"Mark muscles of {client.name}", by=by, subject=f"client:{client.pk}", at=now) as tape:
        # The client's row is the lock of the whole set of marks.
        locked = tape.lock(client)
        rows = {row.muscle: row for row in MarkedMuscle.objects.filter(client=locked)}
        theirs: Values = {code: rows[code].aim if code in rows else "" for code in known}
        merged = merged_values(locked, base=dict(base or theirs), theirs=theirs, mine=dict(marks))
        for code in (m.code for m in MUSCLES):
            aim, row = merged[code], rows.get(code)
            if row is None and aim:
                tape.create(MarkedMuscle(client=locked, muscle=code, aim=aim))
            elif row is not None and not aim:
                tape.delete(row)
            elif row is not None and row.aim != aim:
                changed = tape.lock(row)
                changed.aim = aim
                tape.save(changed)
