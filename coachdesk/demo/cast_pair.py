"""The semi-private pair who share one bar, a former client, and a newcomer without logs."""

from dataclasses import replace
from datetime import date, timedelta

from coachdesk.demo.places import FULL_GYM
from coachdesk.demo.schemes import effort
from coachdesk.demo.shapes import DemoClient, DemoTest, LogQuirks, Mistyped
from coachdesk.demo.weeks import Day, clear_screening, ex, monday_before, program, wave, years_before

# Henrik's programme as it stands; Lupe's has other curls, and Noor's the first weeks only.
TEMPLATE = "Two days a week"


def _pair_week(n: int, arms: str) -> tuple[Day, ...]:
    rir = wave(n, 3, 2, 2, 3)
    return (
        (
            1,
            "Pair, A",
            (
                ex("back_squat", effort(3, "6-8", rir, 180)),
                ex("bench_press", effort(3, "6-8", rir, 180)),
                ex("seated_cable_row", effort(3, "8-10", rir, 90)),
                ex("face_pull", effort(2, "10-15", rir, 75)),
                ex("standing_calf_raise", effort(2, "8-12", rir, 75)),
                ex("plank", effort(3, "30 s", 3, 60)),
            ),
        ),
        (
            3,
            "Pair, B",
            (
                ex("romanian_deadlift", effort(2, "6-8", rir, 180)),
                ex("leg_press", effort(2, "8-12", rir, 120)),
                ex("lat_pulldown", effort(3, "8-10", rir, 90)),
                ex("seated_dumbbell_press", effort(2, "8-12", rir, 90)),
                ex(arms, effort(2, "8-12", rir, 75)),
                ex("farmers_carry", effort(3, "40 m", 3, 90)),
            ),
        ),
    )


def henrik(today: date, past: int = 10, ahead: int = 4) -> DemoClient:
    """One of the pair, and the calm row: nothing is wrong."""
    plan = program(
        "Pair, Tuesday and Thursday",
        today,
        past,
        (("Steady", past + ahead),),
        lambda n: _pair_week(n, "barbell_curl"),
        TEMPLATE,
    )
    before = monday_before(today, past) - timedelta(days=4)
    return DemoClient(
        "henrik",
        "Henrik Duarte",
        years_before(today, 52.3),
        "health",
        "intermediate",
        years_before(today, 2.4),
        (1, 3),
        60,
        86.0,
        0.85,
        (FULL_GYM,),
        clear_screening(today, 110),
        tests=(DemoTest("back_squat", before, 85000, 5), DemoTest("bench_press", before, 67500, 5)),
        maxima=(("back_squat", 98.0), ("bench_press", 77.5)),
        program=plan,
        quirks=LogQuirks(adherence=1.0, gain_per_week=0.003, rir_bias=0.0, rir_noise=0.4),
        notes="Shares the bar with Lupe Anand.",
    )


def lupe(today: date, past: int = 10, ahead: int = 4) -> DemoClient:
    """The other of the pair: 600 kg typed for a 60 kg leg press."""
    plan = program(
        "Pair, Tuesday and Thursday",
        today,
        past,
        (("Steady", past + ahead),),
        lambda n: _pair_week(n, "dumbbell_curl"),
        TEMPLATE,
    )
    return DemoClient(
        "lupe",
        "Lupe Anand",
        years_before(today, 49.8),
        "health",
        "intermediate",
        years_before(today, 1.6),
        (1, 3),
        60,
        63.0,
        0.55,
        (FULL_GYM,),
        clear_screening(today, 140),
        program=plan,
        quirks=LogQuirks(adherence=0.9, gain_per_week=0.004, mistyped=(Mistyped("leg_press", past, typed=600000),)),
        notes="Shares the bar with Henrik Duarte.",
    )


def bertil(today: date) -> DemoClient:
    """A former client: archived two months ago, programme ended, logs kept."""
    past = 20
    plan = program("Winter", today, past, (("Winter", 10),), lambda n: _pair_week(n, "barbell_curl"))
    return replace(
        henrik(today),
        key="bertil",
        name="Bertil Kasamori",
        born_on=years_before(today, 58.9),
        body_kg=90.0,
        tests=(),
        maxima=(),
        program=plan,
        archived_on=today - timedelta(days=61),
        notes="Moved away.",
        screening=clear_screening(today, 300),
    )


def noor(today: date) -> DemoClient:
    """A newcomer: a programme that starts this week, and no logs yet."""
    plan = program("First block", today, 0, (("First block", 4),), lambda n: _pair_week(n, "dumbbell_curl"), TEMPLATE)
    return replace(
        lupe(today),
        key="noor",
        name="Noor Vandesalle",
        born_on=years_before(today, 44.1),
        body_kg=70.0,
        tests=(),
        program=plan,
        quirks=LogQuirks(),
        has_logs=False,
        notes="First visit this week.",
    )
