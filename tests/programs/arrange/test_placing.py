"""Exercises and sessions in another place: what moves, what is copied, what is refused, and one undo for each."""

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coachdesk.practice.models import Act, Membership
from programs import services
from programs.models import PlannedExercise, PlannedSession, Program
from tests.factories.programs import PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory
from tests.programs.arrange.plan import last_label, made_plan, names, state, undone_and_redone, week
from tests.test_attack_undo import at_once

pytestmark = pytest.mark.django_db
HTMX: Any = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def plan(desk: Membership) -> Program:
    return made_plan(desk)


def session(plan: Program, week_no: int, name: str = "Upper") -> PlannedSession:
    return PlannedSession.objects.get(block__program=plan, week_no=week_no, name=name)


def exercise(at: PlannedSession, position: int) -> PlannedExercise:
    rows = PlannedExercise.objects.select_related("exercise", "session__block__program")
    return rows.get(session=at, position=position)


@pytest.mark.parametrize(
    ("position", "to", "order"),
    [(1, 2, "BAC"), (1, 3, "BCA"), (1, 99, "BCA"), (1, None, "BCA"), (3, 1, "CAB"), (2, 1, "BAC")],
)
def test_exercise_moves_within_its_session(desk, plan, position, to, order):
    at, before = session(plan, 1), state()
    row = exercise(at, position)
    moved = services.place_exercise(by=desk, planned=row, session=at, position=to)
    assert "".join(names(at)) == order
    assert (moved.pk, moved.uid) == (row.pk, row.uid)
    undone_and_redone(plan, desk, before)


@pytest.mark.parametrize(("position", "to"), [(1, 1), (2, 2), (3, 3), (3, None), (3, 40)])
def test_exercise_moved_onto_its_own_place_writes_nothing(desk, plan, position, to):
    at, before, acts = session(plan, 1), state(), Act.objects.count()
    assert services.place_exercise(by=desk, planned=exercise(at, position), session=at, position=to) is None
    assert (state(), Act.objects.count()) == (before, acts)


def test_exercise_goes_to_another_session_and_leaves_its_superset(desk, plan):
    home, there, before = session(plan, 1), session(plan, 4, "Lower"), state()
    row = exercise(home, 2)
    services.place_exercise(by=desk, planned=row, session=there, position=1)
    assert ("".join(names(home)), "".join(names(there))) == ("AC", "BABC")
    moved = PlannedExercise.objects.get(pk=row.pk)
    assert (moved.uid, moved.group, moved.cue) == (row.uid, "", "cue 2")
    assert last_label() == "Move Press B to place 1 of Lower, Thu of week 4"
    undone_and_redone(plan, desk, before)


@pytest.mark.parametrize("week_no", [1, 6])
def test_copied_exercise_has_an_id_and_a_uid_of_its_own(desk, plan, week_no):
    home, there, before = session(plan, 1), session(plan, week_no), state()
    row = exercise(home, 1)
    made = services.place_exercise(by=desk, planned=row, session=there, position=2, copy=True)
    assert "".join(names(there)) == "AABC"
    assert made.pk != row.pk
    assert made.uid != row.uid
    assert (made.scheme, made.cue, made.group) == (row.scheme, row.cue, "")
    assert state()[f"PlannedExercise {row.pk}"] == before[f"PlannedExercise {row.pk}"]
    undone_and_redone(plan, desk, before)


def test_full_session_takes_no_more_and_nothing_is_lost(desk, plan):
    there = session(plan, 4)
    PlannedExerciseFactory.create_batch(17, session=there)
    before = state()
    for copy in (False, True):
        with pytest.raises(ValidationError, match="has 20 exercises; 20 is the most"):
            services.place_exercise(by=desk, planned=exercise(session(plan, 1), 1), session=there, copy=copy)
    assert state() == before


def test_session_moves_to_another_week_day_and_block(desk, plan):
    before, row = state(), session(plan, 1)
    services.place_session(by=desk, session=row, week_no=4, day=3, position=1)
    assert week(plan, 1) == [(0, 1, "Arms"), (3, 1, "Lower")]
    assert week(plan, 4) == [(0, 1, "Upper"), (0, 2, "Arms"), (3, 1, "Upper"), (3, 2, "Lower")]
    moved = PlannedSession.objects.get(pk=row.pk)
    assert (moved.uid, moved.block.name, moved.exercises.count()) == (row.uid, "Block 2", 3)
    assert last_label() == "Move Upper, week 1, to Thu of week 4"
    undone_and_redone(plan, desk, before)


def test_session_changes_its_order_within_a_day(desk, plan):
    before = state()
    services.place_session(by=desk, session=session(plan, 2, "Arms"), week_no=2, day=0, position=1)
    assert week(plan, 2) == [(0, 1, "Arms"), (0, 2, "Upper"), (3, 1, "Lower")]
    undone_and_redone(plan, desk, before)


@pytest.mark.parametrize("position", [None, 1])
def test_session_moved_onto_itself_says_so_and_writes_nothing(as_coach, plan, position):
    row, before, acts = session(plan, 1), state(), Act.objects.count()
    typed = {"week_no": 1, "day": 0} | ({"position": position} if position else {})
    answer = as_coach.post(reverse("programs:session_place", args=[row.pk]), typed, **HTMX)
    assert answer.status_code == 200
    assert "Upper stands there already; nothing changed." in answer.content.decode()
    assert (state(), Act.objects.count()) == (before, acts)


def test_copied_session_takes_its_exercises_along_under_new_uids(desk, plan):
    before, row = state(), session(plan, 1)
    made = services.place_session(by=desk, session=row, week_no=3, day=5, copy=True)
    assert names(made) == names(row)
    assert made.uid != row.uid
    uids = {e.uid for e in row.exercises.all()} | {e.uid for e in made.exercises.all()}
    assert len(uids) == 6
    assert [e.group for e in made.exercises.order_by("position")] == ["A", "A", ""]
    undone_and_redone(plan, desk, before)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"week_no": 7, "day": 0}, "There is no week 7; this programme has 6 weeks."),
        ({"week_no": 104, "day": 0}, "A week is a whole number from 1 to 52."),
        ({"week_no": "x", "day": 0}, "A week is a whole number from 1 to 52."),
        ({"week_no": 1, "day": 7}, "7 is not one of the available choices"),
        ({"week_no": 5, "day": 1}, "Tue of week 5 has 4 sessions already."),
    ],
)
@pytest.mark.parametrize("copy", ["", "1"])
@pytest.mark.parametrize("htmx", [True, False])
def test_session_is_refused_with_the_reason_and_what_was_typed(as_coach, plan, typed, words, copy, htmx):
    for n in range(4):
        block = plan.blocks.get(name="Block 2")
        PlannedSessionFactory(block=block, week_no=5, day=1, position=n + 1)
    row, before = session(plan, 1), state()
    url = reverse("programs:session_place", args=[row.pk])
    sent = {**typed, "copy": copy, "session": row.pk}
    answer = as_coach.post(url, sent, **(HTMX if htmx else {}))
    text = answer.content.decode()
    assert answer.status_code == 422
    assert words in text
    assert f'id="place-week" name="week_no" inputmode="numeric" required value="{typed["week_no"]}"' in text
    assert state() == before


def test_session_of_another_programme_or_a_stranger_is_refused_and_nothing_is_lost(as_coach, plan, stranger, desk):
    row = exercise(session(plan, 1), 1)
    others = (
        PlannedSessionFactory(program=ProgramFactory(coach=desk)),
        PlannedSessionFactory(program=ProgramFactory(coach=stranger)),
    )
    before = state()
    for pk in (*(one.pk for one in others), 2**40, "x"):
        answer = as_coach.post(reverse("programs:planned_exercise_place", args=[row.pk]), {"session": pk}, **HTMX)
        assert answer.status_code == 422
        assert "This session is not one of this programme; choose one that is." in answer.content.decode()
    assert state() == before


def test_exercise_place_page_keeps_what_was_typed_without_javascript(as_coach, plan):
    row, there = exercise(session(plan, 1), 1), session(plan, 6)
    url = reverse("programs:planned_exercise_place", args=[row.pk])
    assert as_coach.get(url).status_code == 200
    answer = as_coach.post(url, {"session": there.pk, "position": "0"})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert f'<option value="{there.pk}" selected>Week 6, Mon, Upper</option>' in text
    assert 'value="0"' in text
    done = as_coach.post(url, {"session": there.pk, "position": "2", "copy": "1"})
    assert done.status_code == 302
    assert "".join(names(there)) == "AABC"


def test_place_page_asks_as_much_for_few_sessions_as_for_many(as_coach, desk, plan):
    url, counts = reverse("programs:planned_exercise_place", args=[exercise(session(plan, 1), 1).pk]), []
    for _ in range(2):
        with CaptureQueriesContext(connection) as seen:
            assert as_coach.get(url).status_code == 200
        counts.append(len(seen))
        services.copy_week(by=desk, program=plan, week_no=1, to_weeks=[3, 5])
    assert counts[0] == counts[1] <= 8


def test_exercise_moved_out_of_its_superset_is_told(as_coach, plan):
    row, there = exercise(session(plan, 1), 1), session(plan, 2)
    url = reverse("programs:planned_exercise_place", args=[row.pk])
    text = as_coach.post(url, {"session": there.pk, "position": 1}, **HTMX).content.decode()
    assert "It stands on its own there, outside its superset." in text


@pytest.mark.parametrize(("step", "order"), [("up", "BAC"), ("down", "ACB")])
def test_exercise_moves_one_place_up_or_down(as_coach, plan, step, order):
    at = session(plan, 1)
    row = exercise(at, 2)
    as_coach.post(reverse("programs:planned_exercise_place", args=[row.pk]), {"step": step}, **HTMX)
    assert "".join(names(at)) == order


@pytest.mark.django_db(transaction=True)
def test_racing_sessions_fill_a_day_and_no_more_and_none_is_lost(desk):
    plan = made_plan(desk)
    rows = list(PlannedSession.objects.filter(block__program=plan).select_related("block__program__practice")[:8])

    def go(row: PlannedSession) -> Any:
        return services.place_session(by=desk, session=row, week_no=5, day=1)

    found = at_once(*(lambda row=row: go(row) for row in rows))
    assert sum(isinstance(one, PlannedSession) for one in found) == 4
    assert sum(isinstance(one, ValidationError) for one in found) == 4
    assert [position for _, position, _ in week(plan, 5)] == [1, 2, 3, 4]
    assert PlannedSession.objects.filter(block__program=plan).count() == 12


@pytest.mark.django_db(transaction=True)
def test_racing_exercises_leave_places_without_gaps(desk):
    plan = made_plan(desk)
    there = session(plan, 4)
    rows = [exercise(session(plan, n), 1) for n in (1, 2, 6)] + [exercise(there, 3)]

    def go(row: PlannedExercise) -> Any:
        return services.place_exercise(by=desk, planned=row, session=there, position=1)

    found = at_once(*(lambda row=row: go(row) for row in rows))
    assert all(isinstance(one, PlannedExercise) for one in found)
    assert gapless(plan)
    assert PlannedExercise.objects.filter(session=there).count() == 6


PLACE = st.tuples(
    st.sampled_from(["exercise", "session"]), st.integers(0, 11), st.integers(0, 35), st.integers(1, 6),
    st.integers(0, 6), st.one_of(st.none(), st.integers(1, 6)), st.booleans(),
)  # fmt: skip


def gapless(plan: Program) -> bool:
    """Whether places count 1, 2, ... in every session and on every day."""
    rows: dict[tuple[Any, ...], list[int]] = {}
    for one in PlannedExercise.objects.filter(session__block__program=plan):
        rows.setdefault(("in", one.session_id), []).append(one.position)
    for two in PlannedSession.objects.filter(block__program=plan).select_related("block"):
        rows.setdefault((two.week_no, two.day), []).append(two.position)
        assert two.block.first_week <= two.week_no <= two.block.last_week
    return all(sorted(places) == list(range(1, len(places) + 1)) for places in rows.values())


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(acts=st.lists(PLACE, max_size=8))
def test_any_placements_leave_places_without_gaps_and_lose_and_double_nothing(desk, plan, acts):
    with transaction.atomic():
        before = state()
        done = 0
        uids, copies = set(PlannedExercise.objects.values_list("uid", flat=True)), 0
        for what, s, e, week_no, day, position, copy in acts:
            sessions = list(PlannedSession.objects.filter(block__program=plan).select_related("block__program"))
            rows = list(PlannedExercise.objects.select_related("session__block__program", "exercise"))
            target = sessions[s % len(sessions)]
            try:
                if what == "exercise":
                    row = rows[e % len(rows)]
                    made = services.place_exercise(by=desk, planned=row, session=target, position=position, copy=copy)
                    copies += copy
                else:
                    made = services.place_session(
                        by=desk, session=target, week_no=week_no, day=day, position=position, copy=copy
                    )
                    copies += target.exercises.count() if copy else 0
                done += made is not None
            except ValidationError:
                pass
            assert gapless(plan)
        after = set(PlannedExercise.objects.values_list("uid", flat=True))
        assert uids <= after
        assert len(after) == PlannedExercise.objects.count() == len(uids) + copies
        from coachdesk.practice.tape import next_undo, undo

        for _ in range(done):
            undo(next_undo(plan.practice, services.subject_of(plan)), by=desk)
        assert state() == before
        transaction.set_rollback(True)
