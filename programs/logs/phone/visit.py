"""One visit as the phone writes it: the log of a sheet, opened by whatever is said first, and the steps in it.

A sheet has one log, whoever begins it: two phones and the coach's desk meet in it.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import Q

from clients.models import Client, Place
from coachdesk.practice.tape import Tape
from programs.logs.mapping import SheetStep, sheet_exercises, sheet_key, with_stand_in
from programs.logs.models import Departure, PhoneEntry, SessionLog
from programs.logs.selectors.session_page import departures_of
from programs.logs.services import open_session_log, refresh_facts
from programs.models import Exercise, IssuedSheet

MOST_SETS, MOST_BOUTS = 30, 20
_SLOT = re.compile(r"([1-9][0-9]{0,2})-([1-9][0-9]?)-([1-9][0-9]?)-([blr])")
NO_SUCH_SET = "This sheet has no such set; load the page again, it shows the sets there are."


class Aside(Exception):
    """Somebody else wrote the same otherwise: what was said is kept beside it for the coach, in these words."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.words = words


@dataclass(frozen=True)
class Visit:
    """What every kind of entry needs to be written: the open act, whose it is, the sheet, the entry's key and day."""

    tape: Tape
    client: Client
    sheet: IssuedSheet
    key: UUID
    day: date
    now: datetime

    def log(self) -> SessionLog | None:
        """The sheet's log, if anything was logged from it."""
        return logs_of(self.client, self.sheet)[0]

    def missed(self) -> SessionLog | None:
        """The log that says this session was skipped before anything was done."""
        return logs_of(self.client, self.sheet)[1]

    @property
    def missed_key(self) -> UUID:
        return sheet_key(self.sheet.uid, skipped=True)

    def opened(self) -> SessionLog:
        """The sheet's log, begun now if it was not. ValidationError for a session that was skipped."""
        log = self.log()
        if self.missed() or (log and log.status == SessionLog.Status.SKIPPED):
            raise ValidationError("This session was skipped; take that back first.")
        return log or self._begin()

    def worked(self) -> SessionLog:
        """As `opened`, for a set that was done: then the session was not skipped after all."""
        missed, log = self.missed(), self.log()
        if missed is not None:
            self.tape.delete(self.tape.lock(missed))
        if log is not None and log.status == SessionLog.Status.SKIPPED:
            self.set_status(log, SessionLog.Status.DONE)
        return self.log() or self._begin()

    def set_status(self, log: SessionLog, status: str, why: str = "") -> None:
        """Say of a session without any set whether it was skipped."""
        row = self.tape.lock(log)
        row.status, row.skipped_why = status, why
        self.tape.save(row)
        refresh_facts(self.client.pk)

    def depart(self, log: SessionLog, place: str, *, instead: int | None = None, why: str = "") -> None:
        """Note at a place of the sheet that it was left, or (neither) that it was not."""
        known = Departure.objects.filter(session_log=log, place=place).first()
        if known is None:
            if instead or why:
                self.tape.create(Departure(session_log=log, place=place, instead_id=instead, why=why))
            return
        row = self.tape.lock(known)
        if instead or why:
            row.instead_id, row.why = instead, why
            self.tape.save(row)
        else:
            self.tape.delete(row)

    def resume(self, log: SessionLog, slot: str) -> None:
        """A set was done where something had been left out: the set, its exercise or the rest of the session."""
        places = (slot, slot.partition("-")[0], "")
        for row in Departure.objects.filter(session_log=log, place__in=places, instead=None).order_by("id"):
            self.tape.delete(self.tape.lock(row))

    def _begin(self) -> SessionLog:
        key = sheet_key(self.sheet.uid)
        return open_session_log(
            by=None, client=self.client, key=key, done_on=self.day, now=self.now, sheet=self.sheet, place=self._place()
        )  # fmt: skip

    def _place(self) -> Place | None:
        """Where the client said they train today, if it is not where the plan says."""
        return chosen_place(self.sheet, self.sheet.phone_entries.filter(kind="place").order_by("id"))


def chosen_place(sheet: IssuedSheet, entries: Iterable[PhoneEntry]) -> Place | None:
    """The place that the client chose for this sheet, among everything said of it; None where the plan's holds."""
    said = [row.payload["place"] for row in entries if row.kind == "place"]
    places = Place.objects.filter(practice=sheet.client.practice_id)
    return places.filter(pk=said[-1]).first() if said else None


def place_of(sheet: IssuedSheet, entries: Iterable[PhoneEntry]) -> Place | None:
    """Where the session of this sheet is done: where the client chose, else the plan's place, else the usual one."""
    session = sheet.planned_session
    return chosen_place(sheet, entries) or (session.place if session else None) or sheet.client.place


def logs_of(client: Client, sheet: IssuedSheet) -> tuple[SessionLog | None, SessionLog | None]:
    """(the log of a sheet, the one that says it was skipped before anything was done).

    The log is the one under the key that every page derives, else the latest that a coach made from the sheet.
    """
    key, missed = sheet_key(sheet.uid), sheet_key(sheet.uid, skipped=True)
    rows = SessionLog.objects.filter(Q(key__in=(key, missed)) | Q(sheet=sheet), client=client)
    found = list(rows.select_related("client__practice", "sheet", "planned_session").order_by("-id"))
    done = [row for row in found if row.key != missed]
    log = next((row for row in done if row.key == key), done[0] if done else None)
    return log, next((row for row in found if row.key == missed), None)


def steps_of(sheet: IssuedSheet, position: int, instead: Exercise | None) -> list[SheetStep]:
    """The steps of one exercise of a sheet, as they are done once another exercise stands in; none for no such one."""
    for one in sheet_exercises(sheet.body):
        if one.position == position:
            return [with_stand_in(s, instead, sheet.client.body_kg) if instead else s for s in one.steps]
    return []


def step_at(sheet: IssuedSheet, log: SessionLog | None, slot: str) -> SheetStep:
    """The step at this place: of the sheet, one side of it, or a set or bout beyond its last. ValidationError."""
    found = _SLOT.fullmatch(slot)
    there = departures_of(log).get(found[1]) if log and found else None
    steps = steps_of(sheet, int(found[1]), there.instead if there else None) if found else []
    if not found or not steps:
        raise ValidationError(NO_SUCH_SET)
    set_no, step_no, side = int(found[2]), int(found[3]), found[4]
    for step in steps:
        if (step.set_no, step.step_no) == (set_no, step_no) and step.side in (side, "b"):
            return replace(step, side=side)
    return further_step(steps, set_no, step_no, side)


def further_step(steps: list[SheetStep], set_no: int, step_no: int, side: str) -> SheetStep:
    """A set or a bout that the sheet did not plan, of an exercise that it did: all its numbers are to be typed."""
    last = max(steps, key=lambda step: (step.set_no, step.step_no))
    beyond = set_no > last.set_no or (set_no in {s.set_no for s in steps} and step_no > 1)
    if not beyond or set_no > MOST_SETS or step_no > MOST_BOUTS or last.side not in (side, "b", "l", "r"):
        raise ValidationError(NO_SUCH_SET)
    return replace(
        last, set_no=set_no, step_no=step_no, side=side, load=None, reps_low=None, reps_high=None, to_failure=False,
        expected_reps=None, rir=None, needs_load=last.needs_load or last.load is not None,
    )  # fmt: skip
