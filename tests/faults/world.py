"""One of everything, and what the calls need beside it: rows in the state from which each write changes something."""

from datetime import date, datetime
from typing import Any
from unittest.mock import patch

from clients.models import Client
from coachdesk.engine.because import reason
from coachdesk.engine.flags import Edit, Flag, Remedy, Where
from coachdesk.practice.models import Membership
from programs.intake.reading import read_table
from programs.logs.intake.plan import Answers, make_plan
from programs.logs.intake.services import import_logs
from programs.logs.mapping import done_as_written, sheet_exercises
from programs.logs.models import LogImport, SessionLog
from programs.logs.services.needs import begin_needs
from programs.models import (
    Block,
    EvidenceCard,
    Exercise,
    FlagDecision,
    IssuedSheet,
    PlannedExercise,
    PlannedSession,
    Program,
    Rollout,
    TemplateVersion,
    TrainingGroup,
)
from programs.selectors.versions import version_body
from programs.services.rollouts import hand_out, hand_to_some
from programs.services.sheets import issue_sheet
from tests.factories.clients import (
    ClientFactory,
    EquipmentFactory,
    HouseRuleFactory,
    MarkedMuscleFactory,
    PlaceFactory,
)
from tests.factories.logs import logged, written_steps
from tests.factories.practice import MembershipFactory
from tests.factories.programs import ExerciseFactory, PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory
from tests.factories.whole import one_of_everything

TODAY = date(2026, 11, 24)


class World:
    """Every attribute is read afresh, so that a call made again finds the rows as they stand."""

    def __init__(self, desk: Membership, now: datetime) -> None:
        self.desk, self.now = desk, now
        self.by: dict[str, Any] = {"by": desk}
        self.at: dict[str, Any] = {"by": desk, "now": now}
        self.ids = one_of_everything(desk, now)
        begin_needs(desk.practice, [self.client.pk])
        self.owner = MembershipFactory(practice=desk.practice, owner=True)
        self.as_owner: dict[str, Any] = {"by": self.owner, "now": now}
        self.gone = MembershipFactory(practice=desk.practice, left_at=now)
        self.client.handovers.create(to_coach=desk, handed_at=now)
        self.archived = ClientFactory(coach=desk, archived=True)
        MarkedMuscleFactory(client=self.client, muscle="lats")
        HouseRuleFactory(practice=desk.practice, client=self.client)
        self.other = ExerciseFactory(practice=desk.practice, name="Incline press")
        FlagDecision.objects.create(program=self.program, flag_id="f", code="c", why="Said so", by=desk, at=now)
        self._two_blocks()
        self._half_logged()
        self._elsewhere()
        self.handed = self.new_rollout(handed=True)
        self.imported = self.read_in(date(2026, 11, 2))
        PlannedExercise.objects.filter(session__block__program=self.template).update(cue="Since the last version")

    def row(self, model: type[Any], kind: str) -> Any:
        return model.objects.get(pk=self.ids[kind][-1])

    @property
    def colleague(self) -> Membership:
        return self.row(Membership, "staff")

    @property
    def client(self) -> Client:
        return Client.objects.get(pk=self.ids["client"][0])

    @property
    def program(self) -> Program:
        return self.row(Program, "program")

    @property
    def session(self) -> PlannedSession:
        return self.row(PlannedSession, "session")

    @property
    def planned(self) -> PlannedExercise:
        return self.row(PlannedExercise, "planned")

    @property
    def sheet(self) -> IssuedSheet:
        return self.row(IssuedSheet, "sheet")

    @property
    def log(self) -> SessionLog:
        return self.row(SessionLog, "session_log")

    @property
    def exercise(self) -> Exercise:
        return self.row(Exercise, "exercise")

    @property
    def copy_session(self) -> PlannedSession:
        """A session that is neither issued nor logged."""
        return PlannedSession.objects.get(block__program=self.ids["copy"][0])

    @property
    def group(self) -> TrainingGroup:
        return self.row(TrainingGroup, "group")

    @property
    def card(self) -> EvidenceCard:
        return self.row(EvidenceCard, "evidence")

    @property
    def template(self) -> Program:
        return self.row(Program, "template")

    @property
    def newest(self) -> TemplateVersion:
        return self.template.versions.order_by("-number")[0]

    @property
    def steps(self) -> list[Any]:
        found = [done_as_written(step) for one in sheet_exercises(self.sheet.body) for step in one.steps]
        return [step for step in found if step]

    def _two_blocks(self) -> None:
        self.long = ProgramFactory(coach=self.desk, name="Long block")
        self.second = Block.objects.create(program=self.long, name="Second", first_week=5, weeks=2)
        for week in (1, 2):
            row = PlannedSessionFactory(block=self.long.blocks.order_by("first_week")[0], week_no=week, name="Lower")
            PlannedExerciseFactory(session=row, exercise=self.exercise, cue="Brace" if week == 1 else "")

    def _half_logged(self) -> None:
        session = PlannedSessionFactory(program=self.program, day=1, name="Lower A")
        PlannedExerciseFactory(session=session, exercise=self.exercise)
        sheet = issue_sheet(by=self.desk, session=session, now=self.now)
        steps = written_steps(sheet)
        self.half, self.open_step = logged(sheet, by=self.desk, steps=steps[:1]), steps[1]

    def _elsewhere(self) -> None:
        """A sheet that nothing was logged from, and another place of the same plan."""
        self.home = PlaceFactory(practice=self.desk.practice, name="Home")
        EquipmentFactory(place=self.home)
        session = PlannedSessionFactory(program=self.program, day=2, name="Upper B")
        PlannedExerciseFactory(session=session, exercise=self.exercise)
        PlannedSessionFactory(program=self.program, day=6, name="At home", place=self.home)
        self.fresh = issue_sheet(by=self.desk, session=session, now=self.now, why="Tested last week.")

    def read_in(self, on: date) -> LogImport:
        """A file with one set; what follows from it is left to be worked out."""
        text = f"client,done_on,exercise,load,reps\n{self.client.name},{on},{self.exercise.name},60,5"
        table = read_table(text, header=list)
        plan = make_plan(table, by=self.desk, now=self.now, answers=Answers())
        with patch("programs.logs.intake.services.begin_later"):
            return import_logs(**self.at, plan=plan, digest=plan.digest)

    def new_rollout(self, handed: bool = False) -> Rollout:
        rollout = hand_out(
            **self.at, program=self.template, version=self.newest, takes_present=False,
            client_ids=[self.client.pk], start_on=date(2027, 1, 4), today=TODAY,
        )  # fmt: skip
        return self.hand(rollout) if handed else rollout

    def hand(self, rollout: Rollout) -> Rollout:
        return hand_to_some(rollout=rollout, body=version_body(rollout.of), at_once=2, now=self.now)

    @property
    def waiting(self) -> Rollout:
        return Rollout.objects.get(pk=self.ids["rollout"][0])

    def flag(self, *edits: Edit) -> Flag:
        because = reason("place_unknown")
        return Flag("rest_short", "note", Where(), (), because, "", (Remedy("Mend it", edits),))
