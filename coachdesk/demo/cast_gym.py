"""Demo clients who train for size and strength in the full gym, one of them often in hotels."""

from datetime import date, timedelta

from coachdesk.demo.places import FULL_GYM, HOTEL
from coachdesk.demo.schemes import drop_set, effort, percent, pyramid
from coachdesk.demo.shapes import DemoClient, DemoTest, LogQuirks
from coachdesk.demo.weeks import Day, clear_screening, ex, monday_before, program, wave, years_before

TWO_DROPS = "-20% x failure / -20% x failure"
DOWN_THE_RACK = "1 down x failure / 1 down x failure"


def _amara_week(n: int, dropping_from: int) -> tuple[Day, ...]:
    drops = n >= dropping_from
    incline = drop_set(3, "8-10", 0, TWO_DROPS, 90, "rir") if drops else effort(3, "8-10", 1, 120)
    fly = drop_set(3, "8-12", 0, TWO_DROPS, 90, "rir") if drops else effort(3, "8-12", 1, 90)
    press = drop_set(2, "5-12", 0, DOWN_THE_RACK, 90) if drops else effort(2, "8-12", 1, 90)
    raises = drop_set(3, "10-15", 0, DOWN_THE_RACK, 75) if drops else effort(3, "10-15", 1, 75)
    return (
        (
            0,
            "Chest and back",
            (
                ex("bench_press", effort(4, "5-8", 1, 180)),
                ex("incline_dumbbell_press", incline),
                ex("barbell_row", effort(4, "6-10", 1, 150)),
                ex("lat_pulldown", effort(3, "8-12", 1, 120)),
                ex("rear_delt_fly", effort(4, "12-20", 1, 75)),
                ex("dumbbell_shrug", effort(4, "8-12", 1, 90)),
                ex("back_extension", effort(3, "12", 2, 75)),
            ),
        ),
        (
            1,
            "Chest and arms",
            (
                ex("machine_chest_press", effort(3, "8-12", 1, 120)),
                ex("cable_fly", fly),
                ex("barbell_curl", effort(3, "8-12", 1, 90)),
                ex("hammer_curl", effort(3, "8-12", 1, 75)),
                ex("triceps_pushdown", effort(4, "10-15", 1, 75)),
                ex("overhead_triceps_extension", effort(3, "8-12", 1, 75)),
                ex("cable_crunch", effort(3, "10-15", 2, 60)),
            ),
        ),
        (
            3,
            "Legs",
            (
                ex("back_squat", effort(4, "6-8", 2, 180)),
                ex("romanian_deadlift", effort(3, "8-10", 2, 150)),
                ex("leg_extension", effort(3, "10-15", 1, 90)),
                ex("lying_leg_curl", effort(3, "8-12", 1, 90)),
                ex("standing_calf_raise", effort(4, "8-12", 1, 75)),
                ex("hip_adduction", effort(2, "10-15", 2, 60)),
            ),
        ),
        (
            5,
            "Shoulders and chest",
            (
                ex("overhead_press", effort(4, "6-8", 2, 150)),
                ex("dumbbell_bench_press", effort(3, "8-12", 1, 120)),
                ex("dumbbell_fly", press),
                ex("lateral_raise", raises),
                ex("pull_up", effort(4, "10-12", 2, 150)),
                ex("face_pull", effort(3, "10-15", 1, 75)),
                ex("cable_crunch", effort(3, "10-15", 2, 60)),
            ),
        ),
    )


def amara(today: date, past: int = 10, ahead: int = 3) -> DemoClient:
    """Size, four long days, drop sets seven weeks running, chest on Monday and Tuesday; stalled."""
    dropping_from = max(past - 6, 1)
    plan = program(
        "Chest first",
        today,
        past,
        (("Straight sets", dropping_from - 1), ("Drop sets", past + ahead - dropping_from + 1)),
        lambda n: _amara_week(n, dropping_from),
    )
    return DemoClient(
        "amara",
        "Amara Tolledo",
        years_before(today, 27.4),
        "size",
        "advanced",
        years_before(today, 5.1),
        (0, 1, 3, 5),
        70,
        79.0,
        1.0,
        (FULL_GYM,),
        clear_screening(today, 120),
        marks=(("chest", "grow"),),
        tests=(DemoTest("bench_press", monday_before(today, past) - timedelta(days=3), 92500, 5),),
        maxima=(("bench_press", 106.0),),
        program=plan,
        quirks=LogQuirks(adherence=0.97, gain_per_week=0.0, rir_bias=0.5),
        notes="Asks for more chest work every month.",
        weighed=True,
    )


def _jonas_week(n: int, past: int) -> tuple[Day, ...]:
    squat, pull, bench = wave(n, 75, 80, 85), wave(n, 75, 80, 85), wave(n, 75, 80, 85)
    reps = {75: "6", 80: "5", 85: "3"}
    press = effort(4, "6-8", 2, 150)
    if n > past:  # the press comes back after weeks without, on a test of before
        press = pyramid("ascending_pyramid", "60x8; 70x6; 77.5x4", 150)
    singles = ex("deadlift", percent(6, "1", wave(n, 82.5, 85, 87.5), 45), "Six singles, 45 s between")
    return (
        (
            0,
            "Squat",
            (
                ex("back_squat", percent(1, reps[int(squat)], squat + 5, 240), "Top set"),
                ex("back_squat", percent(5, reps[int(squat)], squat - 5, 240), "Back-off sets"),
                ex("close_grip_bench_press", effort(4, "6-8", 2, 180)),
                ex("chest_supported_row", effort(4, "8-10", 2, 120)),
                ex("lying_leg_curl", effort(3, "8-10", 2, 90)),
                ex("plank", effort(3, "45 s", 3, 60)),
            ),
        ),
        (
            2,
            "Bench",
            (
                ex("bench_press", percent(1, reps[int(bench)], bench + 5, 240), "Top set"),
                ex("bench_press", percent(5, reps[int(bench)], bench - 2.5, 240), "Back-off sets"),
                ex("overhead_press" if n > past else "incline_bench_press", press),
                ex("pull_up", effort(4, "5-8", 2, 180)),
                ex("triceps_pushdown", effort(3, "8-12", 2, 75)),
                ex("face_pull", effort(3, "10-15", 2, 60)),
            ),
        ),
        (
            4,
            "Deadlift",
            (
                singles if n > past - 2 else ex("deadlift", percent(1, reps[int(pull)], pull + 5, 240), "Top set"),
                ex("deadlift", percent(4, reps[int(pull)], pull - 7.5, 240), "Back-off sets"),
                ex("front_squat", effort(4, "5-6", 3, 210)),
                ex("dumbbell_shrug", effort(3, "8-10", 2, 90)),
                ex("back_extension", effort(3, "12", 3, 90)),
                ex("side_plank", effort(3, "40 s", 3, 60)),
            ),
        ),
    )


def jonas(today: date, past: int = 7, ahead: int = 9) -> DemoClient:
    """Strength, a meet nine weeks off: waves, top sets with back-offs, singles; maxima 55 days old."""
    tested = min(today - timedelta(days=55), monday_before(today, past) - timedelta(days=3))
    plan = program(
        "To the meet",
        today,
        past,
        (("Volume", past - 1), ("Strength", ahead - 2), ("Peak", 3)),
        lambda n: _jonas_week(n, past),
    )
    return DemoClient(
        "jonas",
        "Jonas Eklev",
        years_before(today, 34.2),
        "strength",
        "advanced",
        years_before(today, 6.3),
        (0, 2, 4),
        90,
        93.0,
        1.25,
        (FULL_GYM,),
        clear_screening(today, 200),
        tests=(
            DemoTest("back_squat", tested, 180000, 2),
            DemoTest("deadlift", tested, 210000, 3),
            DemoTest("bench_press", tested, 130000, 3),
            DemoTest("overhead_press", tested, 80000, 3),
            DemoTest("side_plank", tested, 0, 75),
        ),
        maxima=(("back_squat", 189.0), ("deadlift", 226.0), ("bench_press", 140.0), ("overhead_press", 86.0)),
        program=plan,
        quirks=LogQuirks(adherence=0.98, gain_per_week=0.002, rir_bias=0.0, rir_noise=0.4),
        weighed=True,
        notes=f"Meet on {(monday_before(today, -9) + timedelta(days=5)).isoformat()}.",
    )


def _nkechi_week(n: int) -> tuple[Day, ...]:
    rir, drops = wave(n, 2, 2, 1, 1), n % 6 in (1, 2, 3, 4)  # four weeks with a drop set, two without
    return (
        (
            0,
            "All over, A",
            (
                ex("leg_press", effort(3, "8-12", rir, 75)),
                ex("dumbbell_bench_press", effort(3, "8-12", rir, 60)),
                ex("seated_cable_row", effort(3, "8-12", rir, 60)),
                ex("lateral_raise", effort(1 if drops else 2, "10-15", rir, 60)),
                *((ex("lateral_raise", drop_set(1, "10-15", rir, DOWN_THE_RACK, 60)),) if drops else ()),
            ),
        ),
        (
            2,
            "All over, B",
            (
                ex("dumbbell_romanian_deadlift", effort(3, "8-12", rir, 75)),
                ex("lat_pulldown", effort(3, "8-12", rir, 60)),
                ex("machine_shoulder_press", effort(3, "8-12", rir, 60)),
                ex("dumbbell_curl", effort(2, "8-12", rir, 75)),
            ),
        ),
        (
            4,
            "All over, C",
            (
                ex("goblet_squat", effort(3, "10-15", rir, 60)),
                ex("machine_chest_press", effort(3, "8-12", rir, 60)),
                ex("chest_supported_row", effort(2, "8-12", rir, 60)),
                ex("triceps_pushdown", effort(3, "10-15", rir, 45)),
            ),
        ),
    )


def nkechi(today: date, past: int = 9, ahead: int = 4) -> DemoClient:
    """Size in three short visits that always run over: 31 to 36 minutes instead of 25."""
    plan = program("Twenty-five minutes", today, past, (("Short and often", past + ahead),), _nkechi_week)
    return DemoClient(
        "nkechi",
        "Nkechi Sorrell",
        years_before(today, 38.6),
        "size",
        "intermediate",
        years_before(today, 2.1),
        (0, 2, 4),
        25,
        71.0,
        0.62,
        (FULL_GYM,),
        clear_screening(today, 60),
        program=plan,
        quirks=LogQuirks(adherence=0.9, gain_per_week=0.004, minutes_between=(31, 36)),
        notes="Trains in the lunch break and has to be back at one.",
    )


def _priya_week(n: int, past: int) -> tuple[Day, ...]:
    rir = wave(n, 3, 2, 2, 1)
    return (
        (
            0,
            "Upper, gym",
            (
                ex("bench_press", effort(3, "6-10", rir, 150)),
                ex("lat_pulldown", effort(3, "8-12", rir, 120)),
                ex("machine_shoulder_press", effort(3, "8-12", rir, 90)),
                ex("dumbbell_bench_press", effort(3, "8-12", rir, 90)),
                ex("face_pull", effort(3, "10-15", rir, 60)),
            ),
        ),
        (
            1,
            "Lower, gym",
            (
                ex("back_squat", effort(3, "6-10", rir, 180)),
                ex("romanian_deadlift", effort(3, "8-10", rir, 150)),
                ex("leg_extension", effort(3, "8-12", rir, 90)),
                ex("lying_leg_curl", effort(2, "8-12", rir, 90)),
                ex("standing_calf_raise", effort(3, "8-12", rir, 60)),
            ),
        ),
        (
            3,
            "Upper, hotel",
            (
                ex("incline_dumbbell_press", effort(3, "8-12", rir, 120)),
                ex("seated_cable_row", effort(3, "8-12", rir, 90)),
                ex("lateral_raise", effort(3, "10-15", rir, 60)),
                ex("seated_dumbbell_press", effort(3, "8-12", rir, 90)),
                ex("dumbbell_curl", effort(3, "8-12", rir, 60)),
                ex("overhead_triceps_extension", effort(3, "10-15", rir, 90)),
                *((ex("lat_pulldown", percent(2, "10", 65, 90, 3)),) if n > past else ()),
            ),
            "hotel",
        ),
        (
            5,
            "Lower, hotel",
            (
                ex("split_squat", effort(3, "8-12", rir, 90)),
                ex("dumbbell_romanian_deadlift", effort(3, "10-15", rir, 90)),
                ex("single_leg_glute_bridge", effort(2, "12", rir, 60)),
                ex("single_leg_calf_raise", effort(3, "10-15", rir, 45)),
                ex("side_plank", effort(2, "30 s", 3, 45)),
            ),
            "hotel",
        ),
    )


def priya(today: date, past: int = 11, ahead: int = 3) -> DemoClient:
    """Travels: four planned, six in ten done, swaps on the day, and the last two weeks away altogether."""
    plan = program("Gym and road", today, past, (("Upper and lower", past + ahead),), lambda n: _priya_week(n, past))
    return DemoClient(
        "priya",
        "Priya Halvorsen-Rao",
        years_before(today, 32.1),
        "size",
        "intermediate",
        years_before(today, 2.7),
        (0, 1, 3, 5),
        60,
        64.0,
        0.66,
        (FULL_GYM, HOTEL),
        clear_screening(today, 30),
        tests=(DemoTest("bench_press", monday_before(today, past) - timedelta(days=2), 42500, 5),),
        maxima=(("bench_press", 48.9),),
        program=plan,
        quirks=LogQuirks(
            adherence=0.6,
            gain_per_week=0.001,
            away=((today - timedelta(days=15), today),),
            swaps_to="hotel",
            swap_chance=0.3,
        ),
        notes="In hotels from Thursday to Sunday.",
    )
