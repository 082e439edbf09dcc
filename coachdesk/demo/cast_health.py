"""Demo clients who train for health, and those whose screening or situation asks for care."""

from datetime import date, timedelta

from coachdesk.demo.places import FULL_GYM, HOME
from coachdesk.demo.schemes import effort, percent, rep_max
from coachdesk.demo.shapes import DemoClient, DemoPrecaution, DemoScreening, DemoTest, LogQuirks
from coachdesk.demo.weeks import Day, clear_screening, ex, monday_before, program, years_before


def _mei_lin_week(n: int) -> tuple[Day, ...]:
    sets = 2 if n % 4 == 0 else 3
    return (
        (
            1,
            "Home, A",
            (
                ex("goblet_squat", effort(sets, "8-15", 3, 120)),
                ex("dumbbell_bench_press", effort(2, "8-15", 3, 90)),
                ex("one_arm_dumbbell_row", effort(2, "8-15", 3, 60)),
                ex("band_pull_apart", effort(2, "15", 3, 60)),
                ex("dead_bug", effort(3, "10", 3, 60)),
            ),
        ),
        (
            4,
            "Home, B",
            (
                ex("dumbbell_romanian_deadlift", effort(sets, "8-15", 3, 120)),
                ex("seated_dumbbell_press", effort(2, "8-12", 3, 90)),
                ex("band_pulldown", effort(2, "12-15", 3, 60)),
                ex("seated_calf_raise", effort(1, "12-15", 3, 45)),
                ex("side_plank", effort(2, "25 s", 3, 60)),
                ex("farmers_carry", effort(2, "30 m", 3, 75)),
            ),
        ),
    )


def mei_lin(today: date, past: int = 12, ahead: int = 4) -> DemoClient:
    """Four months in, light dumbbells at home; RIR 2 whatever happens, then twenty times as written."""
    plan = program("Two days at home", today, past, (("Getting going", past + ahead),), _mei_lin_week)
    return DemoClient(
        "mei_lin",
        "Mei-Lin Abara",
        years_before(today, 41.5),
        "health",
        "novice",
        years_before(today, 0.34),
        (1, 4),
        40,
        58.0,
        0.48,
        (HOME,),
        clear_screening(today, 100),
        marks=(("calves", "grow"),),
        program=plan,
        quirks=LogQuirks(
            adherence=1.0,
            gain_per_week=0.01,
            rir_always=2.0,
            as_written_from=monday_before(today, past) + timedelta(weeks=max(past - 10, 0)),
        ),
        notes="Walks in the hills and would like stronger calves.",
    )


def _rolf_week(n: int, past: int) -> tuple[Day, ...]:
    hard = n > past + 1  # from next week on
    last_press = (ex("leg_press", rep_max(1, "failure", 10, 120), "Last set to failure"),) if hard else ()
    last_chest = (ex("machine_chest_press", rep_max(1, "failure", 10, 120), "Last set to failure"),) if hard else ()
    return (
        (
            1,
            "Machines",
            (
                ex("leg_press", effort(2, "10-12", 3, 120)),
                *last_press,
                ex("machine_chest_press", effort(2, "10-12", 3, 120)),
                *last_chest,
                ex("seated_cable_row", effort(2, "10-12", 3, 90)),
                ex("machine_shoulder_press", effort(2, "10-12", 3, 90)),
                ex("farmers_carry", effort(3, "30 m", 4, 90)),
            ),
        ),
        (
            4,
            "Machines and balance",
            (
                ex("lat_pulldown", effort(2, "10-12", 3, 90)),
                ex("lying_leg_curl", effort(2, "10-12", 3, 90)),
                ex("box_squat", effort(2, "10", 4, 90)),
                ex("cable_pull_through", effort(2, "10-12", 4, 90)),
                ex("standing_calf_raise", effort(2, "12-15", 3, 60)),
                ex("bird_dog", effort(2, "8", 4, 45)),
            ),
        ),
    )


def rolf(today: date, past: int = 10, ahead: int = 4) -> DemoClient:
    """Seventy-one, treated blood pressure, a clearance of fourteen months ago; sets to failure planned."""
    asked = today - timedelta(days=426)
    plan = program(
        "Strength to stay upright",
        today,
        past,
        (("Base", past + 1), ("Last set to failure", ahead - 1)),
        lambda n: _rolf_week(n, past),
    )
    return DemoClient(
        "rolf",
        "Rolf Ostrander",
        years_before(today, 71.3),
        "health",
        "intermediate",
        years_before(today, 1.17),
        (1, 4),
        50,
        82.0,
        0.6,
        (FULL_GYM,),
        DemoScreening(
            asked,
            "cleared",
            asked + timedelta(days=365),
            "Letter from the family doctor, moderate effort.",
            ("disease", "medicines"),
        ),
        precautions=(
            DemoPrecaution(
                "treated high blood pressure: breathe out on effort, no long holds",
                "",
                asked,
                code="high_blood_pressure",
            ),
        ),
        tests=(
            DemoTest("leg_press", monday_before(today, past) - timedelta(days=4), 80000, 10),
            DemoTest("machine_chest_press", monday_before(today, past) - timedelta(days=4), 35000, 10),
        ),
        maxima=(("leg_press", 96.0), ("machine_chest_press", 47.0)),
        program=plan,
        quirks=LogQuirks(adherence=0.94, gain_per_week=0.003, rir_bias=-0.3),
        notes="Takes his blood pressure tablets in the evening.",
    )


def _saba_week(n: int, past: int) -> tuple[Day, ...]:
    test_week = n == past + 2
    return (
        (
            0,
            "First steps",
            (
                ex("box_squat", effort(3, "8", 4, 120)),
                ex("incline_push_up", effort(3, "8", 4, 90)),
                ex("band_row", effort(3, "10-12", 4, 75)),
                ex("bird_dog", effort(2, "6", 4, 60)),
                *((ex("leg_press", rep_max(1, "1", 1, 180), "Maximum test"),) if test_week else ()),
            ),
        ),
        (
            3,
            "First steps, again",
            (
                ex("glute_bridge", effort(3, "10", 4, 75)),
                ex("seated_cable_row", effort(2, "10-12", 4, 90)),
                ex("suitcase_carry", effort(3, "20 m", 4, 75)),
                ex("dead_bug", effort(2, "6", 4, 60)),
                *((ex("machine_chest_press", percent(2, "10", 60, 90, 4)),) if n > past + 1 else ()),
            ),
        ),
    )


def saba(today: date, past: int = 3, ahead: int = 5) -> DemoClient:
    """Sixty-six, three weeks in, never screened; a maximum test is planned and two maxima are unknown."""
    plan = program(
        "Beginning",
        today,
        past,
        (("First steps", past + 1), ("First loads", ahead - 1)),
        lambda n: _saba_week(n, past),
    )
    return DemoClient(
        "saba",
        "Saba Keretu",
        years_before(today, 66.2),
        "health",
        "novice",
        monday_before(today, past),
        (0, 3),
        35,
        68.0,
        0.4,
        (FULL_GYM,),
        None,
        program=plan,
        quirks=LogQuirks(adherence=1.0, gain_per_week=0.01, rir_bias=0.8),
        notes="Came with her neighbour; has not filled in the screening.",
    )


def _yasmin_week(n: int, habit: int) -> tuple[Day, ...]:
    if n <= habit:
        return (
            (
                0,
                "Small start",
                (
                    ex("glute_bridge", effort(1, "12", 3, 75)),
                    ex("band_row", effort(1, "12-15", 3, 75)),
                    ex("incline_push_up", effort(1, "8", 3, 90)),
                    ex("dead_bug", effort(2, "6", 4, 60)),
                ),
            ),
            (
                2,
                "Small start, again",
                (
                    ex("glute_bridge", effort(1, "12", 3, 75)),
                    ex("side_plank", effort(1, "20 s", 3, 75)),
                    ex("suitcase_carry", effort(1, "20 m", 3, 90)),
                    ex("bird_dog", effort(2, "6", 4, 60)),
                ),
            ),
        )
    return (
        (
            0,
            "Home, A",
            (
                ex("goblet_squat", effort(2, "10-12", 3, 90)),
                ex("glute_bridge", effort(2, "12-15", 3, 75)),
                ex("incline_push_up", effort(2, "8-12", 3, 90)),
                ex("band_row", effort(2, "12-15", 3, 75)),
            ),
        ),
        (
            2,
            "Home, B",
            (
                ex("split_squat", effort(2, "8-10", 3, 90)),
                ex("band_lateral_walk", effort(2, "12", 3, 75)),
                ex("side_plank", effort(2, "20 s", 3, 75)),
                ex("suitcase_carry", effort(2, "30 m", 3, 90)),
            ),
        ),
        (
            4,
            "Home, C",
            (
                ex("dumbbell_romanian_deadlift", effort(2, "10-12", 3, 90)),
                ex("single_leg_glute_bridge", effort(2, "10", 3, 75)),
                ex("band_pulldown", effort(2, "12-15", 3, 75)),
                ex("anti_rotation_press", effort(2, "10", 3, 75)),
            ),
        ),
    )


def yasmin(today: date, past: int = 8, ahead: int = 4) -> DemoClient:
    """Five months after birth, cleared; used to two sets a week, and the template now gives twelve."""
    plan = program(
        "Back after birth",
        today,
        past,
        (("Small start", past), ("Home template", ahead)),
        lambda n: _yasmin_week(n, past),
    )
    return DemoClient(
        "yasmin",
        "Yasmin Petrovai",
        years_before(today, 36.4),
        "health",
        "novice",
        years_before(today, 0.3),
        (0, 2, 4),
        30,
        66.0,
        0.5,
        (HOME,),
        clear_screening(today, 70, "cleared", "Cleared by midwife and physiotherapist.", ("pregnancy",)),
        precautions=(
            DemoPrecaution("five months after birth: stop at heaviness or leaking", "abs", years_before(today, 0.42)),
        ),
        marks=(("glutes", "hold"),),
        program=plan,
        quirks=LogQuirks(adherence=0.9, gain_per_week=0.006, rir_bias=0.2),
    )
