"""Pain and return: answers in words, flags with ways out as one undoable act, symmetry, and the chain of exercises."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from clients.services import set_rules
from coachdesk import engine
from coachdesk.engine.pain import HOLD_CUE
from coachdesk.practice.tape import next_undo, undo
from programs.models import PainReport, PlannedExercise, StrengthEstimate
from programs.selectors import open_flags_for, program_view, week_flags_for
from programs.services import apply_remedy, dismiss_flag
from tests.factories.clients import ClientFactory, ScreeningFactory
from tests.factories.logs import NOON, TUESDAY
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def squat():
    easier = ExerciseFactory(name="Goblet squat", equipment_kind="dumbbell")
    return ExerciseFactory(name="Squat", easier=easier, practice=None)


@pytest.fixture
def program(desk, squat):
    """Two weeks with the squat on both Mondays; the first began on MONDAY, a day before TUESDAY."""
    client = ClientFactory(coach=desk, name="Diego Varmaan")
    ScreeningFactory(client=client)
    program = ProgramFactory(coach=desk, client=client, start_on=MONDAY - timedelta(weeks=1))
    for week_no in (1, 2, 3):
        PlannedExerciseFactory(session=PlannedSessionFactory(program=program, week_no=week_no), exercise=squat)
    return program


def hurt(program, exercise, pain, morning=None, days_ago=1):
    return PainReport.objects.create(
        client=program.client, exercise=exercise, on=TUESDAY - timedelta(days=days_ago), pain=pain,
        next_morning=morning, source_uid=uuid4(),
    )  # fmt: skip


def flags(program, code="pain_rule"):
    return [f for f in program_view(program, client=program.client, on=TUESDAY).open_flags() if f.code == code]


def test_pain_said_before_the_programme_begins_is_open_at_once(program, squat):
    hurt(program, squat, 6)
    program.start_on = MONDAY + timedelta(weeks=1)
    program.save()
    found = open_flags_for([program.client], TUESDAY)[program.client.pk]
    assert (found.week_no, [flag.code for flag in found.now]) == (0, ["pain_rule"])
    PainReport.objects.all().delete()
    assert open_flags_for([program.client], TUESDAY)[program.client.pk].now == ()


def planned(program):
    rows = PlannedExercise.objects.filter(session__block__program=program).order_by("session__week_no")
    return [(row.session.week_no, row.exercise.name, row.cue) for row in rows.select_related("session", "exercise")]


def test_a_step_down_changes_this_week_and_later_in_one_act_that_undo_restores(program, squat, desk):
    hurt(program, squat, 7)
    before = planned(program)
    (flag,) = flags(program)
    assert flag.severity == "check"
    apply_remedy(by=desk, program=program, flag=flag, index=0)
    assert [name for _week, name, _cue in planned(program)] == ["Squat", "Goblet squat", "Goblet squat"]
    schemes = PlannedExercise.objects.filter(exercise__name="Goblet squat").values_list("scheme", flat=True)
    assert {engine.scheme_from_json(scheme).step.load.kind for scheme in schemes} == {"effort"}
    assert flags(program) == []
    undo(next_undo(desk.practice, f"program:{program.pk}"), by=desk)
    assert planned(program) == before
    assert len(flags(program)) == 1


def test_hold_writes_a_cue_that_undo_takes_back(program, squat, desk):
    hurt(program, squat, 4)
    (flag,) = flags(program)
    assert flag.severity == "note"
    apply_remedy(by=desk, program=program, flag=flag, index=0)
    assert [HOLD_CUE in cue.lower() for _week, _name, cue in planned(program)] == [False, True, True]
    assert flags(program) == []
    undo(next_undo(desk.practice, f"program:{program.pk}"), by=desk)
    assert len(flags(program)) == 1


def test_refer_stays_until_the_decision_is_written_and_returns_with_a_new_report(program, squat, desk):
    hurt(program, squat, 3, 6, days_ago=8)
    hurt(program, squat, 3, 6, days_ago=1)
    (flag,) = flags(program)
    assert flag.severity == "stop"
    apply_remedy(by=desk, program=program, flag=flag, index=0)
    (still,) = flags(program)
    dismiss_flag(by=desk, program=program, flag=still, why="Surgeon sees him on Thursday.", now=NOON)
    assert flags(program) == []
    hurt(program, squat, 4, 7, days_ago=0)
    assert len(flags(program)) == 1


def test_little_pain_old_pain_and_other_clients_raise_nothing(program, squat, desk):
    hurt(program, squat, 2, 2)
    hurt(program, squat, 9, days_ago=29)
    other = ProgramFactory(coach=desk, client=ClientFactory(coach=desk), start_on=MONDAY)
    hurt(other, squat, 9)
    assert flags(program) == []


def test_the_roster_shows_the_same_flag_with_the_same_id(program, squat):
    hurt(program, squat, 7)
    (flag,) = flags(program)
    assert flag.id in {f.id for f in week_flags_for([program.client], TUESDAY)[program.client.pk]}


def test_a_clients_own_thresholds_decide(program, squat, desk):
    hurt(program, squat, 4)
    set_rules(by=desk, of=program.client, values={"pain_go_on": 4}, now=NOON)
    assert flags(program) == []


def sides(client, exercise, left, right):
    for side, kg in (("l", left), ("r", right)):
        StrengthEstimate.objects.create(
            client=client, exercise=exercise, side=side, mean_kg=kg, low_kg=kg * 0.9, high_kg=kg * 1.1, sd_log=0.05,
            trend_per_week=0, p_rising=0.5, last_on=TUESDAY, count=5,
        )  # fmt: skip


def test_symmetry_is_noted_until_the_weaker_side_comes_first(program, squat, desk):
    sides(program.client, squat, 40, 29.2)
    (flag,) = flags(program, "symmetry")
    assert flag.severity == "note"
    assert flag.sentence.startswith("The right side is behind: Squat 73 % (")
    apply_remedy(by=desk, program=program, flag=flag, index=0)
    assert planned(program)[-1][2] == "Right side first, the other no more reps"
    assert flags(program, "symmetry") == []


def test_a_note_of_symmetry_is_the_same_on_the_roster_whatever_is_planned_later(program, squat, desk):
    later = ExerciseFactory(name="Leg press")
    PlannedExerciseFactory(session=PlannedSessionFactory(program=program, week_no=4), exercise=later)
    sides(program.client, squat, 40, 33)
    sides(program.client, later, 40, 25)
    (flag,) = flags(program, "symmetry")
    weekly = week_flags_for([program.client], TUESDAY)[program.client.pk]
    assert [f.id for f in weekly if f.code == "symmetry"] == [flag.id]


def test_symmetry_of_ninety_per_cent_is_not_noted(program, squat):
    sides(program.client, squat, 40, 37)
    assert flags(program, "symmetry") == []


def test_the_page_says_what_the_rule_asks_with_its_source_and_ways_out(as_coach, program, squat):
    hurt(program, squat, 3, 6, days_ago=8)
    hurt(program, squat, 3, 6)
    sides(program.client, squat, 40, 29.2)
    text = as_coach.get(reverse("programs:client_pain", args=[program.client.pk])).content.decode()
    for words in ("refer or review", "pain-monitoring model, from memory", "Step down to Goblet squat",
                  "Write what was decided", "73", "licensed clinician", "one step easier: Goblet squat"):  # fmt: skip
        assert words in text


def test_an_exercise_shows_its_steps_down_even_in_a_ring(as_coach):
    third = ExerciseFactory(name="Wall squat", practice=None)
    second = ExerciseFactory(name="Box squat", practice=None, easier=third)
    first = ExerciseFactory(name="Back squat", practice=None, easier=second)
    text = as_coach.get(reverse("programs:exercise_detail", args=[first.pk])).content.decode()
    assert text.index("Steps down") < text.index("Box squat") < text.index("Wall squat")
    third.easier = first
    third.save()
    first.refresh_from_db()
    assert first.easier_chain == [second, third]


def test_an_assistant_sees_the_flags_without_buttons(as_assistant, program, squat):
    hurt(program, squat, 7)
    text = as_assistant.get(reverse("programs:client_pain", args=[program.client.pk])).content.decode()
    assert "one step down the regression chain" in text
    assert 'name="remedy"' not in text


def test_the_page_without_reports_says_what_belongs_there(as_coach, program):
    text = as_coach.get(reverse("programs:client_pain", args=[program.client.pk])).content.decode()
    assert "No pain was reported lately" in text


def test_the_number_of_queries_does_not_grow_with_reports(as_coach, program, squat):

    def count():
        with CaptureQueriesContext(connection) as queries:
            assert as_coach.get(reverse("programs:client_pain", args=[program.client.pk])).status_code == 200
        return len(queries)

    hurt(program, squat, 3)
    at_1 = count()
    for n in range(8):
        hurt(program, ExerciseFactory(), n, days_ago=n)
    assert count() == at_1
