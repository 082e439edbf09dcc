"""The demo roster: as described, whole, relative to today, and the same on every draw."""

import re
from collections import Counter
from datetime import date, timedelta

import pytest

from coachdesk.demo.capacity import MAXIMUM, REPS, SECONDS
from coachdesk.demo.names import FIRST_NAMES, LAST_NAMES
from coachdesk.demo.people import demo_clients, drawn_clients
from coachdesk.demo.places import FULL_GYM, HOME, HOTEL, PLACES
from coachdesk.demo.shapes import DemoClient
from coachdesk.engine import MUSCLES, Ordinal, makeable, scheme_from_fields
from programs.library.exercises import LIBRARY, library_exercise

TODAY = date(2026, 11, 25)
ROSTER = demo_clients(TODAY)
EVERYBODY = ROSTER + drawn_clients(40, 5, TODAY)
each_client = pytest.mark.parametrize("client", EVERYBODY, ids=lambda client: client.key)


def named(key: str) -> DemoClient:
    return next(client for client in ROSTER if client.key == key)


def test_roster_is_thirteen_people_one_archived_and_one_without_logs() -> None:
    assert len(ROSTER) == 15
    assert [client.key for client in ROSTER if client.archived_on] == ["bertil"]
    assert [client.key for client in ROSTER if not client.has_logs] == ["noor"]
    assert max(Counter(client.name for client in ROSTER).values()) == 1


@pytest.mark.parametrize(
    ("key", "age", "goal", "visits", "minutes"),
    [
        ("amara", 27, "size", 4, 70), ("jonas", 34, "strength", 3, 90), ("mei_lin", 41, "health", 2, 40),
        ("rolf", 71, "health", 2, 50), ("saba", 66, "health", 2, 35), ("diego", 29, "rehab", 3, 60),
        ("nkechi", 38, "size", 3, 25), ("tuomas", 45, "strength", 2, 45), ("priya", 32, "size", 4, 60),
        ("kwame", 19, "strength", 4, 60), ("yasmin", 36, "health", 3, 30), ("henrik", 52, "health", 2, 60),
        ("lupe", 49, "health", 2, 60),
    ],
)  # fmt: skip
def test_named_client_is_who_they_are_said_to_be(key: str, age: int, goal: str, visits: int, minutes: int) -> None:
    client = named(key)
    assert (TODAY - client.born_on).days // 365.25 == age
    assert (client.goal, len(client.days), client.minutes) == (goal, visits, minutes)


def test_tested_lifts_and_dates_match_the_stories() -> None:
    assert [(t.load, t.reps) for t in named("amara").tests] == [(92500, 5)]
    jonas = {t.code: (t.load, t.reps, (TODAY - t.on).days) for t in named("jonas").tests}
    assert jonas["back_squat"] == (180000, 2, 55)
    assert jonas["deadlift"] == (210000, 3, 55)
    screening = named("rolf").screening
    assert screening is not None
    assert 13.5 < (TODAY - screening.asked_on).days / 30.44 < 14.5
    assert screening.expires_on < TODAY
    assert named("saba").screening is None


@each_client
def test_programme_has_past_and_coming_weeks_in_known_places_on_the_client_s_days(client: DemoClient) -> None:
    program = client.program
    assert program is not None
    assert program.start_on.weekday() == 0
    weeks = {week for block in program.blocks for week in range(block.first_week, block.first_week + block.weeks)}
    assert {session.week_no for session in program.sessions} == weeks == set(range(1, len(weeks) + 1))
    assert {session.day for session in program.sessions} <= set(client.days)
    assert {session.place for session in program.sessions} <= {"", *(place.code for place in client.places)}
    last = max(program.date_of(session) for session in program.sessions)
    assert (last > TODAY) != bool(client.archived_on)


@each_client
def test_every_planned_exercise_is_known_has_a_scheme_and_can_be_done_at_its_place(
    client: DemoClient,
) -> None:
    assert client.program is not None
    for session in client.program.sessions:
        place = client.place(session.place)
        for planned in session.exercises:
            exercise = library_exercise(planned.code)
            assert place.kit_for(exercise.equipment_kind) is not None, (client.key, planned.code)
            assert scheme_from_fields(dict(planned.scheme), client.unit).sets >= 1


@each_client
def test_level_follows_training_age_and_marks_are_muscles(client: DemoClient) -> None:
    """Novice under six months, advanced over three years, as the default bands count them."""
    years = (TODAY - client.training_since_on).days / 365.25
    assert client.level == ("novice" if years < 0.5 else "advanced" if years > 3 else "intermediate")
    assert {muscle for muscle, _ in client.marks} <= {muscle.code for muscle in MUSCLES}
    assert {aim for _, aim in client.marks} <= {"grow", "hold", "rehab"}


@each_client
def test_tested_loads_can_be_made(client: DemoClient) -> None:
    for test in client.tests:
        kit = client.places[0].kit_for(library_exercise(test.code).equipment_kind)
        assert kit is not None
        assert test.load in makeable(kit)


def test_places_make_the_loads_they_are_described_with() -> None:
    bar = FULL_GYM.kit_for("barbell")
    assert bar is not None
    assert {20000, 22500, 92500, 180000, 210000} <= set(makeable(bar))
    dumbbells = {place.code: place.kit_for("dumbbell") for place in PLACES}
    reach = {code: (makeable(kit)[0], makeable(kit)[-1]) for code, kit in dumbbells.items() if kit}
    assert reach == {"gym": (2000, 50000), "home": (4000, 20000), "hotel": (2000, 22000)}
    assert isinstance(HOME.kit_for("band"), Ordinal)
    assert HOTEL.kit_for("stack") is not None
    assert HOME.kit_for("barbell") is None


def test_every_library_exercise_has_a_true_capacity() -> None:
    for exercise in LIBRARY:
        table = SECONDS if exercise.rep_kind == "seconds" else MAXIMUM if exercise.code in MAXIMUM else REPS
        assert table[exercise.code] > 0


def test_dates_move_with_today() -> None:
    later = TODAY + timedelta(weeks=3)
    for before, after in zip(ROSTER, demo_clients(later), strict=True):
        assert before.program is not None
        assert after.program is not None
        assert after.program.start_on - before.program.start_on == timedelta(weeks=3)
        assert after.born_on - before.born_on == timedelta(weeks=3)


def test_drawn_clients_are_the_same_for_the_same_seed_and_others_for_another() -> None:
    assert drawn_clients(30, 3, TODAY, weeks=6) == drawn_clients(30, 3, TODAY, weeks=6)
    assert drawn_clients(30, 3, TODAY) != drawn_clients(30, 4, TODAY)


def test_hundred_drawn_clients_have_names_and_keys_of_their_own() -> None:
    drawn = drawn_clients(100, 1, TODAY)
    assert len({client.name for client in drawn} | {client.name for client in ROSTER}) == 115
    assert len({client.key for client in drawn}) == 100
    assert len({client.strength for client in drawn}) > 60


@pytest.mark.parametrize("weeks", [4, 12, 48])
def test_drawn_clients_train_the_weeks_asked_for(weeks: int) -> None:
    """All but the beginner without screening, who never has more than six weeks behind them."""
    monday = TODAY - timedelta(days=TODAY.weekday())
    past = [(monday - c.program.start_on).days // 7 for c in drawn_clients(30, 2, TODAY, weeks) if c.program]
    assert set(past) <= {weeks, min(weeks, 6)}
    assert past.count(weeks) > 20


def test_name_parts_are_many_and_plain() -> None:
    assert len(set(FIRST_NAMES)) == len(FIRST_NAMES) >= 40
    assert len(set(LAST_NAMES)) == len(LAST_NAMES) >= 60
    assert all(re.fullmatch(r"[A-Z][A-Za-z-]+", name) for name in FIRST_NAMES + LAST_NAMES)
