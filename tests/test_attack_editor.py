"""Attacks on the editor: two coaches, stale pages, ids of others in a body, undo after others' changes, 52 weeks."""

from collections.abc import Callable
from random import Random
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from django.test import Client as Browser
from django.urls import reverse

from coachdesk.practice.merge import StaleEdit
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import Gone, UndoConflict, undo
from programs import services
from programs.models import Block, PlannedExercise, PlannedSession, Program
from tests.factories.calendar import AbsenceFactory, group_of
from tests.factories.clients import ClientFactory
from tests.factories.programs import ExerciseFactory, PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory
from tests.test_attack_access import everything
from tests.test_attack_undo import at_once

FAR = ("0", "-1", "53", "99", "32768", "2147483648", "9" * 40, "1e3", "1.5", "", "x", "\x00", "１", "٣", "1" * 5000)


@pytest.fixture
def program(desk: Membership) -> Program:
    """Four weeks for a client, two sessions of two exercises in week 1."""
    made = ProgramFactory(coach=desk, client=ClientFactory(coach=desk))
    for day, name in ((0, "Upper"), (2, "Lower")):
        session = PlannedSessionFactory(program=made, day=day, name=name)
        for _ in range(2):
            PlannedExerciseFactory(session=session)
    return made


@pytest.fixture
def foreign(stranger: Membership) -> Program:
    """A programme of another practice."""
    made = ProgramFactory(coach=stranger, client=ClientFactory(coach=stranger))
    PlannedExerciseFactory(session=PlannedSessionFactory(program=made))
    return made


def in_order(program: Program) -> list[tuple[int, int, int, int]]:
    rows = PlannedExercise.objects.filter(session__block__program=program)
    return list(rows.order_by("session", "position", "id").values_list("session", "position", "id", "exercise"))


def positions_hold(program: Program) -> bool:
    """Every session counts its exercises 1, 2, 3 ... without a gap or a double."""
    for session in PlannedSession.objects.filter(block__program=program):
        found = list(session.exercises.order_by("position").values_list("position", flat=True))
        if found != list(range(1, len(found) + 1)):
            return False
    return True


def weeks_hold(program: Program) -> bool:
    """Blocks follow each other without a gap or an overlap, and every session stands in the block of its week."""
    at = 1
    for block in program.blocks.order_by("first_week", "id"):
        if block.first_week != at:
            return False
        at += block.weeks
        for session in block.sessions.all():
            if not block.first_week <= session.week_no <= block.last_week:
                return False
    return 1 < at <= 53


# --- what somebody else removed or moved between a coach's page and the press of a button


def block_calls(desk: Membership, program: Program, block: Block) -> dict[str, Callable[[], Any]]:
    return {
        "add behind": lambda: services.add_block(by=desk, program=program, name="New", weeks=1, after=block),
        "rename": lambda: services.edit_block(by=desk, block=block, name="Else", weeks=block.weeks),
        "lengthen": lambda: services.edit_block(by=desk, block=block, name="Else", weeks=block.weeks + 1),
        "shorten": lambda: services.edit_block(by=desk, block=block, name="Else", weeks=1, drop=True),
        "move": lambda: services.move_block(by=desk, block=block, position=1),
        "duplicate": lambda: services.duplicate_block(by=desk, block=block),
        "delete": lambda: services.delete_block(by=desk, block=block),
    }


@pytest.mark.parametrize("name", ["add behind", "rename", "lengthen", "shorten", "move", "duplicate", "delete"])
def test_a_block_that_somebody_deleted_meanwhile_is_gone_and_nothing_is_written(
    desk: Membership, program: Program, name: str
) -> None:
    block = services.add_block(by=desk, program=program, name="Second", weeks=3)
    call = block_calls(desk, program, Block.objects.select_related("program").get(pk=block.pk))[name]
    services.delete_block(by=desk, block=block)
    before = everything()
    with pytest.raises((Gone, ValidationError)):
        call()
    assert everything() == before
    assert weeks_hold(program)


def test_an_exercise_that_somebody_moved_meanwhile_is_not_numbered_where_it_no_longer_stands(
    desk: Membership, program: Program
) -> None:
    upper, lower = PlannedSession.objects.filter(block__program=program).order_by("day")
    stale = PlannedExercise.objects.select_related("session__block").get(pk=upper.exercises.order_by("position")[0].pk)
    services.place_exercise(by=desk, planned=PlannedExercise.objects.get(pk=stale.pk), session=lower)
    before = everything()
    with pytest.raises((Gone, ValidationError)):
        services.place_exercise(by=desk, planned=stale, session=upper, position=2)
    assert everything() == before
    assert positions_hold(program)


def test_a_session_that_somebody_moved_meanwhile_moves_from_where_it_stands(desk: Membership, program: Program) -> None:
    upper = PlannedSession.objects.get(block__program=program, name="Upper")
    stale = PlannedSession.objects.select_related("block__program").get(pk=upper.pk)
    services.place_session(by=desk, session=upper, week_no=2, day=4)
    services.place_session(by=desk, session=stale, week_no=3, day=1)
    stale.refresh_from_db()
    assert (stale.week_no, stale.day, stale.position) == (3, 1, 1)
    assert weeks_hold(program)


def test_one_place_up_of_an_exercise_that_somebody_moved_meanwhile(desk: Membership, program: Program) -> None:
    upper, lower = PlannedSession.objects.filter(block__program=program).order_by("day")
    stale = PlannedExercise.objects.select_related("session__block").get(pk=upper.exercises.order_by("position")[0].pk)
    services.place_exercise(by=desk, planned=PlannedExercise.objects.get(pk=stale.pk), session=lower)
    before = everything()
    with pytest.raises((Gone, ValidationError)):
        services.move_exercise(by=desk, planned=stale, up=True)
    assert everything() == before


# --- two coaches at once


@pytest.mark.django_db(transaction=True)
def test_many_who_add_at_once_get_places_of_their_own_and_no_more_than_there_are(
    desk: Membership, program: Program
) -> None:
    session = PlannedSession.objects.get(block__program=program, name="Upper")
    for _ in range(16):
        PlannedExerciseFactory(session=session)
    services.place_exercise(by=desk, planned=session.exercises.first(), session=session, position=1)
    exercise = ExerciseFactory(practice=desk.practice)

    def add() -> Any:
        mine = PlannedSession.objects.select_related("block__program").get(pk=session.pk)
        return services.add_exercise(by=desk, session=mine, exercise=exercise)

    found = at_once(*[add] * 6)
    assert sorted(type(one).__name__ for one in found) == ["PlannedExercise"] * 2 + ["ValidationError"] * 4
    places = list(session.exercises.order_by("position").values_list("position", flat=True))
    assert len(places) == len(set(places)) == 20


@pytest.mark.django_db(transaction=True)
def test_many_who_fill_a_day_at_once_get_no_more_than_it_holds(desk: Membership, program: Program) -> None:
    def add() -> Any:
        mine = Program.objects.select_related("practice").get(pk=program.pk)
        return services.add_session(by=desk, program=mine, week_no=2, day=3, name="Extra")

    found = at_once(*[add] * 7)
    assert sorted(type(one).__name__ for one in found) == ["PlannedSession"] * 4 + ["ValidationError"] * 3
    there = PlannedSession.objects.filter(block__program=program, week_no=2, day=3)
    assert sorted(there.values_list("position", flat=True)) == [1, 2, 3, 4]


def acts(rng: Random, by: Membership, pk: int) -> list[Callable[[], Any]]:
    """Every way to arrange a programme, with numbers that are mostly there."""
    program = Program.objects.select_related("practice", "client").get(pk=pk)
    block = rng.choice(list(program.blocks.select_related("program")))
    sessions = list(PlannedSession.objects.filter(block__program=program).select_related("block__program"))
    session, week, to, day = rng.choice(sessions), rng.randint(1, 6), rng.randint(1, 6), rng.randrange(7)
    rows = list(PlannedExercise.objects.filter(session__block__program=program).select_related("session__block"))
    row, there = rng.choice(rows), rng.choice(sessions)
    of: dict[str, Any] = {"by": by, "program": program}
    return [
        lambda: services.insert_copy(**of, week_no=week, to=to),
        lambda: services.insert_move(**of, week_no=week, to=to),
        lambda: services.copy_week(**of, week_no=week, to_weeks=[to]),
        lambda: services.put_week(**of, week_no=week, to=to),
        lambda: services.delete_week(**of, week_no=week),
        lambda: services.add_block(**of, name="B", weeks=rng.randint(1, 3), after=block),
        lambda: services.split_block(**of, week_no=week, name="S"),
        lambda: services.edit_block(by=by, block=block, name="E", weeks=rng.randint(1, 5), drop=rng.random() < 0.5),
        lambda: services.move_block(by=by, block=block, position=rng.randint(1, 3)),
        lambda: services.duplicate_block(by=by, block=block),
        lambda: services.delete_block(by=by, block=block),
        lambda: services.add_session(**of, week_no=week, day=day, name="N"),
        lambda: services.place_session(by=by, session=session, week_no=week, day=day, copy=rng.random() < 0.3),
        lambda: services.edit_session(by=by, session=session, version=session.version, values={"week_no": week}),
        lambda: services.place_exercise(by=by, planned=row, session=there, position=rng.randint(1, 3)),
        lambda: services.move_exercise(by=by, planned=row, up=rng.random() < 0.5),
    ]


REFUSALS = (Gone, ValidationError, StaleEdit, UndoConflict)


def seed_enough(program: Program) -> None:
    """Something left to arrange, whatever was deleted."""
    block = program.blocks.order_by("first_week").first()
    assert block is not None
    sessions = PlannedSession.objects.filter(block__program=program)
    while sessions.count() < 2 or not PlannedExercise.objects.filter(session__in=sessions).exists():
        PlannedExerciseFactory(session=PlannedSessionFactory(block=block, week_no=block.first_week, day=0), position=1)


@pytest.mark.django_db(transaction=True)
def test_arranging_from_four_sides_at_once_leaves_every_week_and_place_whole(
    desk: Membership, owner: Membership, program: Program
) -> None:
    rng = Random(4)
    for _ in range(30):
        seed_enough(program)
        calls = [rng.choice(acts(rng, by, program.pk)) for by in (desk, owner, desk, owner)]
        found = at_once(*calls)
        assert [one for one in found if isinstance(one, Exception) and not isinstance(one, REFUSALS)] == []
        assert weeks_hold(program)


# --- undo after what others did since


def test_undoing_a_longer_block_never_leaves_a_session_outside_the_programme(
    desk: Membership, owner: Membership, program: Program
) -> None:
    block = program.blocks.get()
    services.edit_block(by=desk, block=block, name=block.name, weeks=6)
    act = Act.objects.latest("id")
    services.add_session(by=owner, program=program, week_no=6, day=0, name="Late")
    with pytest.raises(UndoConflict):
        undo(act, by=desk)
    assert weeks_hold(program)
    assert PlannedSession.objects.filter(name="Late", week_no=6).exists()


def test_undo_and_redo_in_any_order_leave_every_week_whole(
    desk: Membership, owner: Membership, program: Program
) -> None:
    rng, refused, done = Random(11), 0, 0
    for _ in range(120):
        seed_enough(program)
        by = rng.choice([desk, owner])
        if rng.random() < 0.45 and Act.objects.exists():
            one = rng.choice(list(Act.objects.filter(subject=f"program:{program.pk}").order_by("-id")[:6]) or [None])
            call = (lambda act=one, by=by: undo(act, by=by)) if one else (lambda: None)  # type: ignore[misc]
        else:
            call = rng.choice(acts(rng, by, program.pk))
        try:
            with transaction.atomic():
                call()
            done += 1
        except REFUSALS:
            refused += 1
        assert weeks_hold(program), Act.objects.latest("id").label
    assert done > 30
    assert refused > 5


# --- ids of others, and numbers far out, in what is posted


def posts(program: Program) -> list[tuple[str, dict[str, str]]]:
    """(address, a form that is right) for everything that arranges."""
    session = PlannedSession.objects.get(block__program=program, name="Upper")
    planned, block = session.exercises.order_by("id")[0], program.blocks.get()
    there = PlannedSession.objects.get(block__program=program, name="Lower").pk
    return [
        (reverse("programs:planned_exercise_place", args=[planned.pk]), {"session": str(there), "position": "1"}),
        (reverse("programs:session_place", args=[session.pk]), {"week_no": "2", "day": "3", "position": "1"}),
        (reverse("programs:week_place", args=[program.pk]), {"week_no": "1", "to": "3", "to_last": "3", "copy": "on"}),
        (reverse("programs:week_place", args=[program.pk]), {"week_no": "1", "to": "3", "insert": "on"}),
        (reverse("programs:week_delete", args=[program.pk]), {"week_no": "2"}),
        (reverse("programs:block_add", args=[program.pk]), {"name": "New", "weeks": "2", "after": str(block.pk)}),
        (reverse("programs:block_split", args=[program.pk]), {"week_no": "2", "name": "Half"}),
        (reverse("programs:block_edit", args=[block.pk]), {"name": "Else", "weeks": "5"}),
        (reverse("programs:block_move", args=[block.pk]), {"position": "1"}),
        (reverse("programs:session_new", args=[program.pk]), {"name": "S", "week_no": "2", "day": "1"}),
    ]


@pytest.mark.parametrize("place", range(10))
def test_the_form_that_is_right_is_taken(program: Program, as_coach: Browser, place: int) -> None:
    path, form = posts(program)[place]
    assert as_coach.post(path, form).status_code == 302


@pytest.mark.parametrize("place", range(10))
def test_numbers_far_out_are_refused_or_held_and_never_break_the_weeks(
    program: Program, as_coach: Browser, place: int
) -> None:
    path, form = posts(program)[place]
    for name in form:
        for odd in FAR:
            if name in ("name", "copy", "insert"):
                continue
            with transaction.atomic():
                status = as_coach.post(path, form | {name: odd}).status_code
                assert status in (302, 404, 422), (name, odd, status)
                assert weeks_hold(program), (name, odd)
                transaction.set_rollback(True)


@pytest.mark.parametrize("htmx", [{}, {"HX-Request": "true"}])
def test_sessions_and_blocks_of_others_in_a_form_change_nothing(
    desk: Membership, program: Program, foreign: Program, as_coach: Browser, htmx: dict[str, str]
) -> None:
    own = ProgramFactory(coach=desk, client=program.client)
    PlannedExerciseFactory(session=PlannedSessionFactory(program=own))
    before = everything()
    for other in (foreign, own):
        session, block = PlannedSession.objects.get(block__program=other), other.blocks.get()
        for path, form in posts(program):
            for name, pk in (("session", session.pk), ("after", block.pk)):
                if name in form:
                    assert as_coach.post(path, form | {name: str(pk)}, headers=htmx).status_code in (404, 422)
    assert everything() == before


# --- fifty-two weeks


def test_a_programme_of_52_weeks_takes_no_53rd_in_whatever_way(desk: Membership, as_coach: Browser) -> None:
    program = ProgramFactory(coach=desk, client=ClientFactory(coach=desk), weeks=52)
    session = PlannedSessionFactory(program=program, week_no=52, day=6)
    PlannedExerciseFactory(session=session, position=1)
    block, before = program.blocks.get(), everything()
    for path, form in (
        (
            reverse("programs:week_place", args=[program.pk]),
            {"week_no": "52", "to": "53", "insert": "on", "copy": "on"},
        ),
        (reverse("programs:week_place", args=[program.pk]), {"week_no": "52", "to": "1", "insert": "on", "copy": "on"}),
        (reverse("programs:block_add", args=[program.pk]), {"name": "More", "weeks": "1"}),
        (reverse("programs:block_edit", args=[block.pk]), {"name": "More", "weeks": "53"}),
        (reverse("programs:block_duplicate", args=[block.pk]), {}),
        (reverse("programs:session_place", args=[session.pk]), {"week_no": "53", "day": "0"}),
    ):
        assert as_coach.post(path, form).status_code == 422, path
        assert everything() == before
    for query in ("?week=52", "?week=53", "?week=99999999999999999999", f"?session={session.pk}"):
        assert as_coach.get(reverse("programs:program_detail", args=[program.pk]) + query).status_code == 200


# --- where the answer leads after a change that is written


@pytest.mark.parametrize("odd", ["x" * 20_000, "9999-99", "2026-13-01", "\x00", "1" * 5000])
def test_a_change_that_is_written_is_answered_as_such_whatever_day_was_looked_at(
    desk: Membership, program: Program, as_coach: Browser, odd: str
) -> None:
    gone = AbsenceFactory(client=program.client)
    path = reverse("programs:absence_delete", args=[gone.pk])
    assert as_coach.post(path, {"month": odd, "week": odd}).status_code == 302
    group = group_of(desk, [program.client, ClientFactory(coach=desk)])
    for name in ("group_order", "group_undo"):
        assert as_coach.post(reverse(f"programs:{name}", args=[group.pk]), {"on": odd}).status_code == 302
    path, form = posts(program)[1]
    assert as_coach.post(path, form | {"for": odd, "session": odd, "week": odd}).status_code == 302


def test_ids_past_a_databases_range_are_refused_like_any_other(program: Program, as_coach: Browser) -> None:
    for odd in ("9223372036854775808", "9" * 40, "1" * 5000, "-1", "x"):
        form = {"name": "Six o'clock", "members": [str(program.client_id), odd]}
        assert as_coach.post(reverse("programs:group_new"), form).status_code == 422
        path = reverse("programs:program_progression", args=[program.pk])
        assert as_coach.get(path, {"planned": odd}).status_code == 200
