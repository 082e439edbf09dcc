"""Demo clients around sport: a rebuilt knee, a runner, and an athlete in season."""

from datetime import date, timedelta

from coachdesk.demo.places import FULL_GYM
from coachdesk.demo.schemes import effort, percent
from coachdesk.demo.shapes import DemoClient, DemoPrecaution, DemoTest, LogQuirks, Mistyped, Painful
from coachdesk.demo.weeks import Day, clear_screening, ex, monday_before, program, wave, years_before


def _diego_week(n: int) -> tuple[Day, ...]:
    rir = wave(n, 4, 3, 3, 3)
    return (
        (
            0,
            "Knee, heavy side",
            (
                ex("single_leg_press", effort(3, "8-10", rir, 90), "Weaker side first"),
                ex("single_leg_extension", effort(3, "8-12", rir, 60), "90 to 30 degrees"),
                ex("single_leg_curl", effort(3, "8-12", rir, 60)),
                ex("chest_supported_row", effort(3, "8-12", 2, 120)),
                ex("face_pull", effort(3, "10-15", 2, 60)),
            ),
        ),
        (
            2,
            "Control",
            (
                ex("step_down", effort(3, "8", rir, 60)),
                ex("single_leg_glute_bridge", effort(3, "10", rir, 60)),
                ex("single_leg_calf_raise", effort(3, "8-12", rir, 45)),
                ex("dumbbell_bench_press", effort(3, "8-12", 2, 120)),
                ex("lateral_raise", effort(3, "10-15", 2, 60)),
                ex("dead_bug", effort(3, "10", 3, 45)),
            ),
        ),
        (
            4,
            "Knee, volume",
            (
                ex("single_leg_press", effort(3, "10-15", rir, 90), "Weaker side first"),
                ex("band_knee_extension", effort(2, "15", rir, 45)),
                ex("copenhagen_plank", effort(2, "20 s", 3, 45)),
                ex("lat_pulldown", effort(3, "8-12", 2, 120)),
                ex("hammer_curl", effort(3, "8-12", 2, 75)),
                ex("band_lateral_walk", effort(2, "15", 3, 60)),
            ),
        ),
    )


def diego(today: date, past: int = 10, ahead: int = 6) -> DemoClient:
    """Twenty weeks after a right knee reconstruction: right 73 % of left, worse next morning, twice."""
    operated = today - timedelta(weeks=20)
    tested = monday_before(today, past)
    plan = program(
        "Knee, months three to six",
        today,
        past,
        (("One-sided strength", past), ("Towards running", ahead)),
        _diego_week,
    )
    return DemoClient(
        "diego",
        "Diego Varmaan",
        years_before(today, 29.3),
        "rehab",
        "intermediate",
        years_before(today, 2.6),
        (0, 2, 4),
        60,
        77.0,
        0.85,
        (FULL_GYM,),
        clear_screening(today, 75, "cleared", "Surgeon's letter: strength work, no jumping yet.", ("joints",)),
        precautions=(
            DemoPrecaution("right knee reconstruction: no jumping, extension 90 to 30 degrees", "quads", operated),
        ),
        marks=(("quads", "rehab"), ("hamstrings", "rehab")),
        tests=(
            DemoTest("single_leg_extension", tested, 30000, 5, side="l"),
            DemoTest("single_leg_extension", tested, 22500, 5, side="r"),
        ),
        maxima=(("single_leg_extension", 34.5),),
        program=plan,
        quirks=LogQuirks(
            adherence=0.95,
            gain_per_week=0.008,
            rir_bias=-0.2,
            weak_side=("r", 0.73),
            painful=tuple(Painful(week, 0, 3, 6, "single_leg_press") for week in (past - 1, past)),
        ),
    )


def _tuomas_week(n: int) -> tuple[Day, ...]:
    return (
        (
            1,
            "Legs and pulling",
            (
                ex("leg_press", percent(1, "failure", 80, 180), "As many as there are"),
                ex("leg_press", percent(2, "10", 75, 120)),
                ex("romanian_deadlift", effort(3, "6-8", 2, 150)),
                ex("lat_pulldown", effort(2, "8-10", 2, 90)),
                ex("standing_calf_raise", effort(2, "8-12", 2, 60)),
            ),
        ),
        (
            4,
            "Legs and pushing",
            (
                ex("leg_press", percent(1, "failure", 60, 180), "As many as there are"),
                ex("rear_foot_elevated_split_squat", effort(2, "6-8", 2, 90)),
                ex("dumbbell_bench_press", effort(2, "8-10", 2, 90)),
                ex("seated_cable_row", effort(2, "8-10", 2, 90)),
                ex("side_plank", effort(2, "30 s", 3, 60)),
            ),
        ),
    )


def tuomas(today: date, past: int = 9, ahead: int = 4) -> DemoClient:
    """A distance runner: nineteen reps of leg press at 80 % of 1RM, so equations overstate his maximum."""
    plan = program("Strong enough to run", today, past, (("Strength", past + ahead),), _tuomas_week)
    return DemoClient(
        "tuomas",
        "Tuomas Obuya",
        years_before(today, 45.7),
        "strength",
        "intermediate",
        years_before(today, 1.05),
        (1, 4),
        45,
        67.0,
        0.78,
        (FULL_GYM,),
        clear_screening(today, 150),
        tests=(DemoTest("leg_press", monday_before(today, past) - timedelta(days=3), 150000, 1),),
        maxima=(("leg_press", 150.0),),
        program=plan,
        quirks=LogQuirks(
            adherence=0.93,
            gain_per_week=0.001,
            rir_bias=0.0,
            endurance=(
                ("leg_press", 2.6),
                ("romanian_deadlift", 1.9),
                ("rear_foot_elevated_split_squat", 2.0),
            ),
        ),
        notes="Runs five days a week; long run on Sunday.",
    )


def _kwame_week(n: int) -> tuple[Day, ...]:
    rir = wave(n, 3, 2, 2, 3)
    return (
        (
            0,
            "Lower",
            (
                ex("back_squat", effort(3, "4-6", rir, 180)),
                ex("leg_press", effort(3, "8-10", rir, 150)),
                ex("nordic_lowering", effort(3, "4", 2, 120)),
                ex("single_leg_calf_raise", effort(2, "8-12", rir, 60)),
                ex("plank", effort(3, "45 s", 3, 60)),
            ),
        ),
        (
            1,
            "Upper",
            (
                ex("bench_press", effort(3, "5-8", rir, 150)),
                ex("pull_up", effort(4, "5-8", rir, 150)),
                ex("seated_dumbbell_press", effort(3, "8-10", rir, 120)),
                ex("rear_delt_fly", effort(3, "10-15", rir, 75)),
                ex("triceps_pushdown", effort(3, "8-12", rir, 75)),
            ),
        ),
        (
            3,
            "Lower, light",
            (
                ex("romanian_deadlift", effort(3, "6-8", rir, 150)),
                ex("split_squat", effort(3, "8-10", rir, 120)),
                ex("hip_thrust", effort(3, "8-10", rir, 120)),
                ex("copenhagen_plank", effort(2, "20 s", 3, 45)),
            ),
        ),
        (
            4,
            "Upper, light",
            (
                ex("overhead_press", effort(3, "5-8", rir, 150)),
                ex("one_arm_dumbbell_row", effort(3, "8-10", rir, 120)),
                ex("incline_dumbbell_press", effort(3, "8-10", rir, 120)),
                ex("dumbbell_curl", effort(3, "8-15", rir, 75)),
            ),
        ),
    )


def kwame(today: date, past: int = 8, ahead: int = 6) -> DemoClient:
    """Nineteen, in season: four visits and two team sessions all rated alike, and one row typed in pounds."""
    plan = program("In season", today, past, (("Hold through the season", past + ahead),), _kwame_week)
    return DemoClient(
        "kwame",
        "Kwame Lindqvist",
        years_before(today, 19.4),
        "strength",
        "intermediate",
        years_before(today, 2.2),
        (0, 1, 3, 4),
        60,
        84.0,
        0.95,
        (FULL_GYM,),
        clear_screening(today, 80),
        tests=(DemoTest("back_squat", monday_before(today, past) - timedelta(days=4), 95000, 5),),
        maxima=(("back_squat", 110.0),),
        program=plan,
        quirks=LogQuirks(
            adherence=1.0,
            gain_per_week=0.002,
            rir_bias=-0.2,
            rir_drift=0.2,
            team_days=(2, 5),
            rating_always_from=monday_before(today, 2),
            mistyped=(Mistyped("back_squat", past - 2, 2.2046),),
        ),
        notes="Team training Wednesday and Saturday.",
    )
