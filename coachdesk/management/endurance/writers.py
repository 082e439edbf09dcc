"""Coaches who log sets and send again what was not answered; what they were told is held against the rows later."""

import random
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from http.client import HTTPException
from uuid import UUID, uuid4

from django.urls import reverse

from coachdesk.engine import format_load
from coachdesk.management.endurance.desk import Desk
from coachdesk.management.endurance.house import Sheet
from programs.logs.mapping import SheetStep

# Spread over so many days that a week holds few sessions, as with any client.
DAYS = 900
Place = tuple[UUID, str]


@dataclass
class Told:
    """What was acknowledged: (key of the session, slot) -> reps; requests, repeated sends, answers that were wrong."""

    sets: dict[Place, int] = field(default_factory=dict)
    sent: set[Place] = field(default_factory=set)
    requests: int = 0
    again: int = 0
    wrong: list[str] = field(default_factory=list)


class OverError(Exception):
    """The desk was taken away for good while this was on its way: it may have been kept or not."""


class Writer(threading.Thread):
    """One coach: a session with its first exercise, then the other sets one by one, on and on."""

    def __init__(self, desk: Desk, sheets: list[Sheet], headers: Mapping[str, str], today: date, seed: int) -> None:
        super().__init__(daemon=True)
        self.desk, self.sheets, self.headers, self.today = desk, sheets, headers, today
        self.dice, self.told, self.over = random.Random(seed), Told(), threading.Event()

    def run(self) -> None:
        while not self.over.is_set():
            try:
                self.session(self.dice.choice(self.sheets))
            except OverError:
                return
            except Exception as problem:
                self.told.wrong.append(f"{type(problem).__name__}: {problem}")
                return

    def session(self, sheet: Sheet) -> None:
        """Log one session of this sheet until every set of it is acknowledged."""
        key, first = uuid4(), [step for step in sheet.steps if step.position == sheet.steps[0].position]
        reps = {step.slot: self.dice.randint(3, 9) for step in sheet.steps}
        day = self.today - timedelta(days=self.dice.randrange(DAYS))
        form = {"key": str(key), "done_on": day.isoformat(), "minutes": "", "rating": "", "note": ""}
        for step in first:
            form |= {f"load-{step.slot}": format_load(step.load or 0), f"reps-{step.slot}": str(reps[step.slot])}
        path = reverse("logs:session_log", args=[sheet.pk])
        where = self._acknowledged(path, form, [(key, step.slot) for step in first], reps)
        log = int(where.rstrip("/").rpartition("/")[2])
        for step in sheet.steps[len(first) :]:
            self._one(log, key, step, reps)

    def _one(self, log: int, key: UUID, step: SheetStep, reps: dict[str, int]) -> None:
        form = {"slot": step.slot, "load": format_load(step.load or 0), "reps": str(reps[step.slot]), "rir": "2"}
        self._acknowledged(reverse("logs:set_log", args=[log]), form, [(key, step.slot)], reps)

    def _acknowledged(self, path: str, form: dict[str, str], places: list[Place], reps: dict[str, int]) -> str:
        """Send until it is answered with 'saved'; gives where the answer leads."""
        self.told.sent.update(places)
        while True:
            try:
                status, where = self.desk.ask("POST", path, form, self.headers)
            except (OSError, HTTPException):
                status, where = 0, ""
            if status in (200, 302) and not where.startswith("/sign-in/"):
                self.told.requests += 1
                self.told.sets |= {place: reps[place[1]] for place in places}
                return where
            if status not in (0, 503):
                raise RuntimeError(f"{path} answered {status}")
            self.told.again += 1
            time.sleep(0.05)
            if self.over.is_set():
                raise OverError
