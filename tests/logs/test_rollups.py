"""Weekly sums, evidence and estimates equal a recomputation from nothing, after any series of writes and undos.

12 series of 25 random acts (300 in all): sessions, sets, corrections, removals, moved days, undo and redo. After each
act the sums are compared with a plain count made here, and with everything rebuilt from the first log on.
"""

import random
from collections import defaultdict
from datetime import timedelta
from uuid import uuid4

import pytest

from coachdesk.practice.tape import UndoConflict, next_redo, undo
from programs.logs import services
from programs.logs.mapping import done_as_written, done_otherwise, sheet_exercises
from programs.logs.models import SessionLog, SetLog
from programs.logs.services.session_logs import subject_of
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, drop_set, exercise_body, step_body, straight_sets
from tests.factories.programs import ExerciseFactory
from tests.incremental.recount import derived, kept_sums, plain_sums

pytestmark = pytest.mark.django_db
SERIES, ACTS = 12, 25


@pytest.fixture
def sheet(desk):
    curl = ExerciseFactory(muscles={"biceps": 1000, "forearms": 500}, implements=2, equipment_kind="dumbbell")
    split = ExerciseFactory(muscles={"quads": 1000, "glutes": 1000, "adductors": 500}, limbs="one")
    pounds = [step_body(set=n, unit="lb", load=155_000) for n in (1, 2)]
    sides = [step_body(set=n, side=side) for n in (1, 2) for side in "lr"]
    bodies = [
        exercise_body(ExerciseFactory(), 1, steps=straight_sets(3)),
        exercise_body(ExerciseFactory(), 2, steps=drop_set()),
        exercise_body(curl, 3, steps=pounds),
        exercise_body(split, 4, steps=sides),
    ]
    return IssuedSheetFactory(client=ClientFactory(coach=desk), exercises=bodies)


class Lifter:
    """Somebody who logs, corrects and undoes at random."""

    def __init__(self, sheet, desk, seed):
        self.sheet, self.desk, self.dice = sheet, desk, random.Random(seed)
        self.steps = [step for one in sheet_exercises(sheet.body) for step in one.steps]

    def done(self, step):
        if self.dice.random() < 0.3:
            return done_as_written(step)
        load = step.load + 2500 * self.dice.randint(-4, 4)
        rir = self.dice.choice([None, None, 0.0, 1.0, 2.5, 5.0])
        return done_otherwise(step, load=load, reps=self.dice.randint(1, 18), rir=rir)

    def act(self):
        acts = [self.session, self.session, self.one_set, self.correct, self.correct, self.remove, self.move, self.back]
        self.dice.choice(acts)()

    def any_log(self):
        return self.dice.choice(list(SessionLog.objects.order_by("id")) or [None])

    def any_set(self):
        return self.dice.choice(list(SetLog.objects.order_by("id")) or [None])

    def day(self):
        return TUESDAY - timedelta(days=self.dice.randint(0, 20))

    def session(self):
        some = [self.done(step) for step in self.steps if self.dice.random() < 0.6] or [self.done(self.steps[0])]
        services.record_session_log(
            by=self.desk, client=self.sheet.client, sheet=self.sheet, key=uuid4(), done_on=self.day(), steps=some,
            now=NOON,
        )  # fmt: skip

    def one_set(self):
        log = self.any_log()
        if log is None:
            return
        taken = set(log.sets.values_list("position", "set_no", "step_no", "side"))
        free = [s for s in self.steps if (s.position, s.set_no, s.step_no, s.side) not in taken]
        if free:
            step = self.done(self.dice.choice(free))
            services.log_set(by=self.desk, session_log=log, key=uuid4(), step=step, now=NOON)

    def correct(self):
        row = self.any_set()
        if row is not None:
            values = {"reps": self.dice.randint(1, 18), "rir": self.dice.choice([None, 0.0, 2.0, 4.0])}
            services.edit_set(by=self.desk, set_log=row, version=row.version, values=values, now=NOON)

    def remove(self):
        row = self.any_set()
        if row is not None:
            services.remove_set(by=self.desk, set_log=row, version=row.version, now=NOON)

    def move(self):
        log = self.any_log()
        if log is not None:
            values = {"done_on": self.day()}
            services.edit_session_log(by=self.desk, session_log=log, version=log.version, values=values, now=NOON)

    def back(self):
        log = self.any_log()
        if log is None:
            return
        try:
            services.undo_session_log(by=self.desk, session_log=log)
            again = next_redo(self.desk.practice, subject_of(log.key))
            if again is not None and self.dice.random() < 0.5:
                undo(again, by=self.desk)
        except UndoConflict:
            pass


@pytest.mark.parametrize("seed", range(SERIES))
def test_sums_equal_recomputation_after_random_acts(sheet, desk, seed):
    lifter, nonempty = Lifter(sheet, desk, seed), 0
    for _ in range(ACTS):
        lifter.act()
        sums = kept_sums(sheet.client)
        assert sums == plain_sums(sheet.client)
        nonempty += bool(sums)
    kept = derived(sheet.client)
    services.refresh_client(sheet.client.pk)
    assert derived(sheet.client) == kept
    assert nonempty >= ACTS // 5


@pytest.mark.parametrize("seed", range(4))
def test_shuffled_replays_from_two_tabs_log_nothing_twice(sheet, desk, seed):
    """4 sessions, 11 sets each, every one sent 5 times in shuffled order: 220 sends, 44 sets."""
    dice = random.Random(seed)
    lifter = Lifter(sheet, desk, seed)
    log = services.record_session_log(
        by=desk, client=sheet.client, sheet=sheet, key=uuid4(), done_on=TUESDAY, steps=[lifter.done(lifter.steps[0])],
        now=NOON,
    )  # fmt: skip
    sends = [(uuid4(), lifter.done(step)) for step in lifter.steps[1:]] * 5
    dice.shuffle(sends)
    answers = defaultdict(set)
    for key, step in sends:
        answers[key].add(services.log_set(by=desk, session_log=log, key=key, step=step, now=NOON).pk)
    assert len(sends) == 55
    assert [len(pks) for pks in answers.values()] == [1] * 11
    assert log.sets.count() == len(lifter.steps) == 12
    assert kept_sums(sheet.client) == plain_sums(sheet.client)
