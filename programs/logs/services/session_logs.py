"""Recording a whole session, a missed one, and correcting what was said about a session.

`by` None: within an act that was opened before.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError

from clients.models import Client, Place
from clients.selectors import today_for
from clients.services.stale import take_over
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import Tape, next_undo, undo, write
from programs.logs.mapping import DoneStep, set_key
from programs.logs.models import Departure, SessionLog, SetLog
from programs.logs.services.derive import follow_day, monday_of, refresh_observations, refresh_weeks
from programs.logs.services.facts import refresh_facts
from programs.logs.services.pains import Pains, insert_pains, same_pains
from programs.logs.services.plan_gaps import note_plan_gaps
from programs.logs.services.replays import Replayed, refuse_replay
from programs.logs.services.rows import set_row
from programs.logs.services.subjects import subject_of
from programs.models import IssuedSheet
from programs.services import refresh_estimates

EARLIEST = date(2000, 1, 1)
EDITABLE = ("done_on", "minutes", "rating", "note", "skipped_why", "name", "place")


@dataclass(frozen=True)
class Entry:
    """One session as it was sent: done with its steps, or missed with a reason."""

    key: UUID
    done_on: date
    steps: Sequence[DoneStep] = ()
    sheet: IssuedSheet | None = None
    planned_session_id: int | None = None
    minutes: int | None = None
    rating: int | None = None
    note: str = ""
    skipped_why: str = ""
    name: str = ""
    place: Place | None = None
    pains: Pains = field(default_factory=dict)
    departures: Sequence[Departure] = ()


def day_words(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b %Y}"


def check_day(done_on: date, today: date) -> date:
    """Raises ValidationError for a day that has not come or is before 2000."""
    if done_on > today:
        raise ValidationError(
            {"done_on": f"{day_words(done_on)} has not come yet; a session is logged on or after its day."}
        )
    if done_on < EARLIEST:
        raise ValidationError({"done_on": f"{day_words(done_on)} is too long ago; {day_words(EARLIEST)} or later."})
    return done_on


def record_session_log(
    *, by: Membership, client: Client, key: UUID, done_on: date, steps: Sequence[DoneStep], now: datetime,
    sheet: IssuedSheet | None = None, minutes: int | None = None, rating: int | None = None, note: str = "",
    pains: Pains | None = None, departures: Sequence[Departure] = (),
) -> SessionLog:  # fmt: skip
    """A whole session in one act. A replay (same key, same payload) gives the first row again.

    `pains`: pain from 0 to 10 by exercise id, where it was typed; `departures`: unsaved, without their log.
    Raises KeyReused for the same key with another payload; ValidationError for a future day or no set at all.
    """
    entry = Entry(
        key, done_on, tuple(steps), sheet, _planned(sheet), minutes, rating, note, pains=dict(pains or {}),
        departures=tuple(departures),
    )  # fmt: skip
    if not entry.steps:
        raise ValidationError("Nothing was entered: type what was done, or skip the session with a reason.")
    return _record(by, client, entry, now, f"Log session of {day_words(done_on)} for {client.name}")


def open_session_log(
    *, by: Membership | None, client: Client, key: UUID, done_on: date, now: datetime, note: str = "",
    sheet: IssuedSheet | None = None, name: str = "", place: Place | None = None,
) -> SessionLog:  # fmt: skip
    """A session whose sets are still to come one by one: of a sheet, or one that no sheet planned.

    `place` None: where the plan says, else where the client usually trains. Replays and errors as above;
    ValidationError for an archived client or a place of another practice, too.
    """
    if client.archived_on is not None:
        raise ValidationError(f"{client.name} was archived; bring them back first.")
    _check_place(place, client)
    label = f"Log {'' if sheet else 'unplanned '}session of {day_words(done_on)} for {client.name}"
    entry = Entry(key, done_on, (), sheet, _planned(sheet), note=note, name=name, place=place)
    return _record(by, client, entry, now, label)


def _check_place(place: Place | None, client: Client) -> None:
    if place is not None and place.practice_id != client.practice_id:
        raise ValidationError({"place": f"'{place.name}' is no place of this practice."})


def skip_session(
    *, by: Membership | None, sheet: IssuedSheet, key: UUID, skipped_why: str, on: date, now: datetime
) -> SessionLog:
    """A planned session that was missed, with its reason. Replays and errors as `record_session_log`."""
    if not skipped_why.strip():
        raise ValidationError({"skipped_why": "Say why it was skipped, for example 'ill' or 'travelling'."})
    entry = Entry(key, on, (), sheet, _planned(sheet), skipped_why=skipped_why)
    label = f"Skip session of {day_words(on)} for {sheet.client.name}"
    return _record(by, sheet.client, entry, now, label)


def _planned(sheet: IssuedSheet | None) -> int | None:
    return sheet.planned_session_id if sheet else None


def _record(by: Membership | None, client: Client, entry: Entry, now: datetime, label: str) -> SessionLog:
    check_day(entry.done_on, today_for(client, now))
    try:
        with write(label, by=by, subject=subject_of(entry.key), at=now) as tape:
            client = tape.lock(client)
            session_log, sets = _rows(client, entry, now)
            refuse_replay(session_log, sets, lambda known: _came_with(known, entry))
            _insert(tape, session_log, sets)
            _insert_departures(session_log, entry.departures)
            insert_pains(tape, session_log, entry.pains)
            if sets:
                note_plan_gaps(tape, [session_log], now)
                refresh_weeks(client.pk, {monday_of(entry.done_on)})
                refresh_estimates(client.pk, refresh_observations(session_log))
            refresh_facts(client.pk)
    except Replayed as replay:
        return replay.row  # type: ignore[return-value]
    return session_log


def _rows(client: Client, entry: Entry, now: datetime) -> tuple[SessionLog, list[SetLog]]:
    status = SessionLog.Status.SKIPPED if entry.skipped_why else SessionLog.Status.DONE
    session_log = SessionLog(
        client=client, sheet=entry.sheet, planned_session_id=entry.planned_session_id, key=entry.key,
        done_on=entry.done_on, time_zone=client.time_zone, logged_at=now, status=status, minutes=entry.minutes,
        rating=entry.rating, note=entry.note, skipped_why=entry.skipped_why, name=entry.name, place=entry.place,
        usual_place_id=usual_place_id(client, entry.sheet),
    )  # fmt: skip
    session_log.full_clean(validate_unique=False, validate_constraints=False)
    return session_log, [set_row(session_log, step, set_key(entry.key, step.slot)) for step in entry.steps]


def usual_place_id(client: Client, sheet: IssuedSheet | None = None) -> int | None:
    """Where a session is taken to be done: where the sheet's plan says, else where the client usually trains."""
    planned = sheet.planned_session.place_id if sheet and sheet.planned_session else None
    return planned or client.place_id


def _insert(tape: Tape, session_log: SessionLog, sets: list[SetLog]) -> None:
    """The root is recorded; its sets come with it, and undo takes both away."""
    tape.create(session_log)
    for row in sets:
        row.session_log = session_log
        row.full_clean(exclude=["session_log", "client", "exercise"], validate_unique=False, validate_constraints=False)
    SetLog.objects.bulk_create(sets)


def _insert_departures(session_log: SessionLog, departures: Sequence[Departure]) -> None:
    """As the sets they come with the root, and undo takes them away with it."""
    for row in departures:
        row.session_log = session_log
        row.full_clean(exclude=["session_log", "instead"], validate_unique=False, validate_constraints=False)
    Departure.objects.bulk_create(departures)


def _came_with(known: SessionLog, entry: Entry) -> bool:
    """Whether a session saved before came with the same pain and the same departures."""
    mine = {(row.place, row.instead_id, row.why) for row in entry.departures}
    return same_pains(known, entry.pains) and mine == set(known.departures.values_list("place", "instead", "why"))


def edit_session_log(
    *, by: Membership | None, session_log: SessionLog, version: int, values: dict[str, Any], now: datetime
) -> SessionLog:
    """Correct what was said about a session. `values`: any of EDITABLE. Raises StaleEdit.

    A new day takes its sets along and refreshes both weeks; at another place its sets speak for other machines.
    """
    client = session_log.client
    _check_place(values.get("place"), client)
    if "done_on" in values:
        check_day(values["done_on"], today_for(client, now))
    label = f"Change session of {day_words(session_log.done_on)} for {client.name}"
    with write(label, by=by, subject=subject_of(session_log.key), at=now) as tape:
        tape.lock(client)
        row = tape.lock(session_log)
        before, place = row.done_on, row.place_id
        check_version(version, row)
        take_over(row, version=version, fields={name: values[name] for name in EDITABLE if name in values})
        tape.save(row)
        if row.done_on != before:
            follow_day(row)
            refresh_weeks(client.pk, {monday_of(before), monday_of(row.done_on)})
        if (row.done_on, row.place_id) != (before, place):
            refresh_estimates(client.pk, refresh_observations(row))
        refresh_facts(client.pk)
    return row


def check_version(version: int, row: SessionLog | SetLog) -> None:
    """Raises ValidationError for a version that never was."""
    if not 1 <= version <= row.version:
        raise ValidationError(f"Version {version} of this row does not exist; reload the page and try again.")


def undo_session_log(*, by: Membership, session_log: SessionLog) -> Act | None:
    """Undo the last change to this session log, its making included; None when nothing is left to undo."""
    act = next_undo(by.practice, subject_of(session_log.key))
    return undo(act, by=by) if act else None
