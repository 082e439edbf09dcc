"""Swapping exercises and schemes from a week on, and what may stand in: shown first, one act, no fixed loads."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coachdesk import engine
from coachdesk.practice.models import Act, Membership
from programs.models import Exercise, PlannedExercise, PlannedSession, Program
from programs.services import load_library
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory, PrecautionFactory
from tests.factories.programs import ExerciseFactory, PlannedExerciseFactory, SchemeFactory, scheme_json
from tests.programs.arrange.plan import last_label, made_plan, state, undone_and_redone

pytestmark = pytest.mark.django_db
FIXED = {"load_kind": "fixed", "load_value": "60"}


@pytest.fixture
def plan(desk: Membership, gym) -> Program:
    """The plan of these tests for a client at a place; 'Press A' at a fixed load from week 4 on."""
    program = made_plan(desk, client=ClientFactory(coach=desk, place=gym, born_on=None))
    late = PlannedExercise.objects.filter(session__week_no__gte=4, position=1)
    late.update(scheme=scheme_json(**FIXED))
    return program


@pytest.fixture
def other(desk: Membership) -> Exercise:
    return ExerciseFactory(practice=desk.practice, name="Incline press", equipment_kind="dumbbell")


def planned(plan: Program, week_no: int = 2, name: str = "Upper", position: int = 1) -> PlannedExercise:
    return PlannedExercise.objects.get(
        session__block__program=plan, session__week_no=week_no, session__name=name, position=position
    )


def url(row: PlannedExercise, name: str = "planned_exercise_swap") -> str:
    return reverse(f"programs:{name}", args=[row.pk])


def swap(http, row: PlannedExercise, **typed: Any):
    sent = {"show": 1, "scope": "exercise", "from_week": 2, **typed}
    preview = http.get(url(row), sent).context["preview"]
    return preview, http.post(url(row), {**sent, "digest": preview.digest})


@pytest.mark.parametrize(
    ("scope", "weeks"),
    [
        ("here", [(2, "Upper")]), ("exercise", [(2, "Upper"), (4, "Upper"), (6, "Upper")]),
        ("everywhere", [(n, name) for n in (2, 4, 6) for name in ("Upper", "Arms", "Lower")]),
    ],
)  # fmt: skip
def test_exercise_is_swapped_where_it_was_shown_and_one_undo_takes_it_back(as_coach, desk, plan, other, scope, weeks):
    row, before, acts = planned(plan), state(), Act.objects.count()
    preview, answer = swap(as_coach, row, exercise=other.pk, scope=scope)
    assert answer.status_code == 302
    now = PlannedExercise.objects.filter(exercise=other).order_by(
        "session__week_no", "session__day", "session__position"
    )
    assert list(now.values_list("session__week_no", "session__name")) == weeks
    shown = {cell.placed.pk: cell.now for cell in preview.cells}
    assert {one.pk: (one.scheme, one.exercise_id) for one in now} == {
        pk: (to["scheme"], to["exercise_id"]) for pk, to in shown.items()
    }
    assert Act.objects.count() == acts + 1
    assert last_label().startswith("Swap Press A for Incline press")
    undone_and_redone(plan, desk, before)


def test_fixed_loads_do_not_go_over_and_that_is_said(as_coach, plan, other):
    row = planned(plan)
    sent = {"show": 1, "scope": "exercise", "from_week": 2, "exercise": other.pk}
    text = as_coach.get(url(row), sent).content.decode()
    assert text.count("a fixed load never goes over to another exercise: reps and RIR decide it") == 2
    assert text.count("its cue stays: cue 1") == 3
    swap(as_coach, row, exercise=other.pk)
    words = [
        engine.scheme_words(engine.scheme_from_json(planned(plan, n).scheme)) for n in (2, 4, 6)
    ]  # fmt: skip
    assert words == ["3 x 8 @ 75 %, rest 2 min", "3 x 8, RIR 2, rest 2 min", "3 x 8, RIR 2, rest 2 min"]


def test_scheme_is_swapped_from_a_week_on(as_coach, desk, plan):
    kept = SchemeFactory(practice=desk.practice, name="Ladder")
    row, before = planned(plan), state()
    swap(as_coach, row, scheme=kept.pk, scope="everywhere", from_week=4)
    changed = PlannedExercise.objects.filter(scheme=kept.value)
    assert {(one.session.week_no, one.position) for one in changed} == {(4, 1), (6, 1)}
    assert last_label().startswith("Use 1 x (80/65/50 % to failure)")
    undone_and_redone(plan, desk, before)


def test_scheme_as_here_with_another_exercise_leaves_its_fixed_load_behind(as_coach, plan, other):
    row = planned(plan, 4)
    swap(as_coach, row, scheme="here", exercise=other.pk, from_week=1)
    for n in (1, 2, 4, 6):
        assert engine.scheme_words(engine.scheme_from_json(planned(plan, n).scheme)) == "3 x 8, RIR 2, rest 2 min"


def test_exercise_counted_otherwise_is_left_with_the_reason(as_coach, desk, plan):
    hold = ExerciseFactory(practice=desk.practice, name="Plank", rep_kind="seconds")
    sent = {"show": 1, "scope": "exercise", "from_week": 1, "exercise": hold.pk}
    answer = as_coach.get(url(planned(plan)), sent)
    assert "Plank is counted in seconds, Press A in repetitions; choose a scheme too" in answer.content.decode()
    assert not answer.context["preview"].cells
    once = as_coach.post(url(planned(plan)), {"at": "once", "exercise": hold.pk}, follow=True)
    assert "Plank is counted in seconds, Press A in repetitions." in once.content.decode()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({}, "Choose another exercise, another scheme, or both."),
        ({"exercise": 2**40}, "Select a valid choice."), ({"exercise": "x"}, "Select a valid choice."),
        ({"scheme": 2**40}, "Select a valid choice."),
        ({"scheme": "here", "from_week": 104}, "There is no week 104; this programme has 6 weeks."),
        ({"scheme": "here", "from_week": "x"}, "Enter a whole number."),
        ({"scheme": "here", "scope": "galaxy"}, "Select a valid choice."),
    ],
)  # fmt: skip
def test_bad_input_is_said_and_nothing_written(as_coach, plan, typed, words):
    before = state()
    for send in (as_coach.get, as_coach.post):
        answer = send(url(planned(plan)), {"show": 1, "scope": "exercise", "from_week": 2, **typed})
        assert answer.status_code == 422
        assert words in answer.content.decode()
    assert state() == before


def test_strangers_exercise_and_scheme_cannot_come_in(as_coach, plan, stranger):
    theirs = ExerciseFactory(practice=stranger.practice), SchemeFactory(practice=stranger.practice)
    before = state()
    for typed in ({"exercise": theirs[0].pk}, {"scheme": theirs[1].pk}):
        answer = as_coach.post(url(planned(plan)), {"scope": "exercise", "from_week": 2, "digest": "", **typed})
        assert answer.status_code == 422
    as_coach.post(url(planned(plan)), {"at": "once", "exercise": theirs[0].pk})
    assert state() == before


def test_use_here_swaps_one_place_and_says_what_became_of_the_load(as_coach, desk, plan, other):
    row, before = planned(plan, 4), state()
    answer = as_coach.post(url(row), {"at": "once", "exercise": other.pk}, follow=True)
    text = answer.content.decode()
    assert "Incline press stands in for Press A. Its fixed load does not go over: reps and RIR decide it now." in text
    assert list(PlannedExercise.objects.filter(exercise=other).values_list("pk", flat=True)) == [row.pk]
    undone_and_redone(plan, desk, before)


def test_stand_ins_of_the_library_are_ranked_with_reasons_and_what_they_lack(as_coach, desk):
    load_library()
    home = PlaceFactory(practice=desk.practice, name="Home")
    EquipmentFactory(place=home, dumbbells=True)
    client = ClientFactory(coach=desk, place=home)
    PrecautionFactory(client=client, code="no_overhead", words="Sore shoulder")
    session = PlannedSession.objects.filter(block__program=made_plan(desk, client=client)).first()
    bench = Exercise.objects.get(practice=None, code="bench_press")
    row = PlannedExerciseFactory(session=session, exercise=bench)
    page = as_coach.get(url(row, "planned_exercise_substitutes"))
    found = page.context["stands"]
    names = [one.exercise.name for one in found]
    assert names[:2] == ["Dumbbell bench press", "Push-up"]  # library order among equals; no stack at home
    by_name = {one.exercise.name: one for one in found}
    assert "same movement pattern; chest directly, as before" in by_name["Dumbbell bench press"].why
    assert "stand-in number 1 of the library" in by_name["Dumbbell bench press"].why
    assert "no maximum known yet" in by_name["Dumbbell bench press"].lacks
    assert " at Home" in by_name["Machine chest press"].lacks
    assert not by_name["Machine chest press"].usable
    assert "Bench press" not in names
    assert 'aria-label="Use Push-up here"' in page.content.decode()


def test_stand_ins_against_a_precaution_come_last_and_say_so(as_coach, desk, gym):
    load_library()
    client = ClientFactory(coach=desk, place=gym)
    PrecautionFactory(client=client, code="no_overhead", words="Sore shoulder")
    session = PlannedSession.objects.filter(block__program=made_plan(desk, client=client)).first()
    press = Exercise.objects.get(practice=None, code="overhead_press")
    row = PlannedExerciseFactory(session=session, exercise=press)
    found = as_coach.get(url(row, "planned_exercise_substitutes")).context["stands"]
    barred = [one.stand.is_barred for one in found]
    assert barred == sorted(barred)
    assert any("spoken against: no pressing overhead" in one.lacks for one in found)


def test_number_of_queries_is_the_same_for_few_and_many_exercises(as_coach, desk, plan):
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as seen:
            as_coach.get(url(planned(plan), "planned_exercise_substitutes"))
        counts.append(len(seen))
        ExerciseFactory.create_batch(8, practice=desk.practice)
    assert counts[0] == counts[1]
    assert counts[0] <= 14


def test_assistant_may_look_at_stand_ins_and_not_swap(as_assistant, plan):
    assert as_assistant.get(url(planned(plan), "planned_exercise_substitutes")).status_code == 200
    assert as_assistant.get(url(planned(plan))).status_code == 403
