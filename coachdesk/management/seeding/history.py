"""Replays a client's past day by day: the sheet as it would have been handed out, and what was done of it.

Every session is prescribed from what was known on its day, so that sheets, logs and estimates fit each other.
Prescription, evidence and sums are the desk's own functions; only the inserting is done in bulk.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from typing import Any
from uuid import UUID, uuid5

from clients.mapping import client_traits
from clients.models import Client
from clients.selectors import with_traits
from coachdesk import engine
from coachdesk.demo.logbook import simulate_session, team_logs
from coachdesk.demo.shapes import DemoClient, DemoLog, DemoSet
from coachdesk.management.seeding.bulk import insert, insert_many
from coachdesk.management.seeding.house import House
from coachdesk.management.seeding.learning import Learner
from coachdesk.management.seeding.plans import Planned
from coachdesk.management.seeding.years import Years
from programs.logs.mapping import (
    DoneStep,
    SheetStep,
    done_as_written,
    done_otherwise,
    set_key,
    sheet_exercises,
    sheet_key,
)
from programs.logs.models import SessionLog, SetLog
from programs.logs.selectors.last_times import LONGEST_AGO, last_times_in
from programs.logs.services import refresh_facts
from programs.logs.services.rows import set_row
from programs.logs.services.session_logs import usual_place_id
from programs.mapping import session_plan
from programs.models import IssuedSheet, PainReport, PlannedExercise, PlannedSession
from programs.selectors.last_times import LastTimes
from programs.selectors.prescription import ProgramView, SessionView, exercise_views
from programs.services import refresh_estimates
from programs.services.sheet_body import sheet_body
from programs.services.sheets import sheet_row

ISSUED, LOGGED = time(6, tzinfo=UTC), time(20, tzinfo=UTC)


@dataclass
class Past:
    """Rows of one client's past, not yet in the database."""

    sheets: list[IssuedSheet] = field(default_factory=list)
    logs: list[SessionLog] = field(default_factory=list)
    sets: list[SetLog] = field(default_factory=list)
    pains: list[PainReport] = field(default_factory=list)
    earlier: int = 0  # sets of the years before, which are inserted at once


class Replay:
    """One client's past from the first planned session to yesterday, and `earlier` weeks before. Inside `write`."""

    def __init__(
        self, house: House, person: DemoClient, client: Client, *, seed: int, space: UUID, earlier: int = 0
    ) -> None:
        self.house, self.person, self.space, self.earlier = house, person, space, earlier
        (self.client,) = with_traits([client])
        self.rng, self.team_rng = Random(f"{seed}:{person.key}"), Random(f"{seed}:{person.key}:team")
        self.learner = Learner(client)
        self.past = Past()
        self.last: dict[int, dict[str, Any]] = {}

    def run(self, planned: Sequence[Planned], today: date) -> Past:
        """Everything before `today`, inserted, with the sums and estimates that follow from it."""
        program = self.person.program
        if program is None or not self.person.has_logs:
            return self.past
        for demo, session, exercises in planned:
            on = program.date_of(demo)
            if on < today:
                self._visit(session, exercises, on)
        self._team(program.start_on, today)
        self._insert()
        return self.past

    def _visit(self, session: PlannedSession, exercises: tuple[PlannedExercise, ...], on: date) -> None:
        shown, view = self._prescribed(session, exercises, on)
        sheet = sheet_row(
            client_id=self.client.pk, session=session, on=on, now=datetime.combine(on, ISSUED),
            body=sheet_body(shown, view, [], self._last_times(on)),
        )  # fmt: skip
        sheet.uid = uuid5(self.space, f"sheet {on}")
        self.past.sheets.append(sheet)
        done = simulate_session(self.person, shown.prescribed, on, self.rng, self.house.code_of)
        log = self._log(done, sheet_key(sheet.uid, skipped=done.skipped), sheet)
        sets = [set_row(log, step, set_key(log.key, step.slot)) for step in self._steps(done, sheet)]
        for row in sets:
            row.exercise = self.house.by_id[row.exercise_id]
        self.past.sets += sets
        self.past.pains += self._pains(done, log)
        self.learner.read(log, sets)
        self.last |= last_times_in(sets)

    def _last_times(self, on: date) -> LastTimes:
        """How each exercise went the last time, as the desk tells it on the day."""
        since = (on - LONGEST_AGO).isoformat()
        return {pk: one for pk, one in self.last.items() if since <= one["on"] < on.isoformat()}

    def _pains(self, done: DemoLog, log: SessionLog) -> list[PainReport]:
        if done.pain is None:
            return []
        exercise = self.house.by_code[done.pain_in] if done.pain_in else None
        return [
            PainReport(
                client=self.client, exercise=exercise, on=log.done_on, pain=done.pain,
                next_morning=done.pain_next_morning, source_uid=log.key,
            )
        ]  # fmt: skip

    def _prescribed(
        self, session: PlannedSession, exercises: tuple[PlannedExercise, ...], on: date
    ) -> tuple[SessionView, ProgramView]:
        place = session.place or self.client.place
        plan = session_plan(
            session, exercises, traits=self.house.traits, here=self.learner.at(place), kit=self.house.kits.at(place)
        )
        traits = client_traits(self.client, on)
        answer = engine.prescribe_session(plan, traits)
        views = exercise_views(exercises, plan, answer)
        view = ProgramView(session.block.program, self.client, (), (), (), traits, plans=(plan,))
        return SessionView(session, answer, views, on), view

    def _log(self, done: DemoLog, key: UUID, sheet: IssuedSheet | None = None) -> SessionLog:
        log = SessionLog(
            client=self.client, sheet=sheet, planned_session=sheet.planned_session if sheet else None, key=key,
            done_on=done.done_on, time_zone=self.client.time_zone, logged_at=datetime.combine(done.done_on, LOGGED),
            status=SessionLog.Status.SKIPPED if done.skipped else SessionLog.Status.DONE, minutes=done.minutes,
            rating=done.rating, note=done.note, name=done.name, skipped_why=done.skipped_why,
            usual_place_id=usual_place_id(self.client, sheet),
        )  # fmt: skip
        self.past.logs.append(log)
        return log

    def _steps(self, done: DemoLog, sheet: IssuedSheet) -> Iterator[DoneStep]:
        written = {(s.position, s.set_no, s.step_no): s for one in sheet_exercises(sheet.body) for s in one.steps}
        for one in done.sets:
            exercise = self.house.by_code[one.exercise_code]
            step = written[(one.position, one.set_no, one.step_no)]
            if step.exercise != exercise.pk:  # what stood in for it had no planned load of its own
                step = replace(
                    step, exercise=exercise.pk, load=None, rep_kind=exercise.rep_kind, body_load=None, on_body=False
                )
            yield done_step(replace(step, side=one.side, unit=one.unit), one)

    def _team(self, start_on: date, today: date) -> None:
        """Team sessions stand in the log with minutes and a rating, without plan or sets."""
        for monday in (start_on + timedelta(weeks=n) for n in range((today - start_on).days // 7 + 1)):
            for done in team_logs(self.person, monday, self.team_rng):
                if done.done_on < today:
                    self._log(done, uuid5(self.space, f"team {done.done_on}"))

    def _insert(self) -> None:
        insert(self.past.sheets)
        self.past.logs.sort(key=lambda log: log.done_on)
        insert(self.past.logs)
        insert_many(self.past.sets)
        insert(self.past.pains)
        insert_many(self.learner.fresh)
        years = Years(self.client, self.past.logs, self.past.sets, self.space)
        years.sum_up()
        self.past.earlier = years.carry(self.earlier)
        refresh_estimates(self.client.pk)
        refresh_facts(self.client.pk)


def done_step(step: SheetStep, one: DemoSet) -> DoneStep:
    """A simulated set as the log's own value, judged beside the written step as a typed one would be."""
    if one.as_written and (one.load, one.setting, one.reps) == (step.load, step.setting, step.written_reps):
        written = done_as_written(step, rir=one.rir)
        if written is not None:
            return written
    return done_otherwise(step, load=one.load, reps=one.reps, rir=one.rir, setting=one.setting)
