"""Every default number of the engine with its unit, its source and what kind of basis that is."""

from __future__ import annotations

from dataclasses import dataclass

from .constants_need import NEED_ROWS
from .constants_training import TRAINING_ROWS

TRADE = "common practice, no source"
MODEL = "modelling choice of this desk"
REFALO = "Refalo MC et al 2023 Sports Med Open 9:10 doi:10.1186/s40798-023-00554-y"
MORAN = "Moran-Navarro R et al 2017 Eur J Appl Physiol 117:2387-2399 doi:10.1007/s00421-017-3725-7"
PELLAND = "Pelland JC et al 2025 Sports Med doi:10.1007/s40279-025-02344-w"
PALUCH = "Paluch AE et al 2024 Circulation 149:e217-e231 doi:10.1161/CIR.0000000000001189"
WHO = "WHO 2020 guidelines on physical activity and sedentary behaviour"
IVERSEN = "Iversen VM et al 2021 Sports Med 51:2079-2095 doi:10.1007/s40279-021-01490-1"
SCHOENFELD = "Schoenfeld BJ et al 2017 J Sports Sci 35(11):1073-1082 doi:10.1080/02640414.2016.1210197"
BAZ_VALLE = "Baz-Valle E et al 2022 J Hum Kinet"
COLEMAN = "Coleman M et al 2022 Int J Strength Cond doi:10.47206/ijsc.v2i1.135"
SODAL = "Sodal LK et al 2023 Sports Med Open 9:66 doi:10.1186/s40798-023-00620-5"
HANDBOOK = "Haff GG, Triplett NT (eds) 2016 Essentials of Strength Training and Conditioning, 4th ed"
RICHENS = "Richens B, Cleather DJ 2014 Biol Sport"
HACKETT = "Hackett DA et al 2017 JSCR doi:10.1519/JSC.0000000000001683"
RAWSON = "Rawson ES et al 2017 Sports Med 47(S1):33-49"
GARBER = "Garber CE et al 2011 MSSE 43:1334-1359 doi:10.1249/MSS.0b013e318213fefb"
STOPPING = (
    f"chosen by the velocity lost 4 min after failure, 1 RIR and 3 RIR, -25, -13 and -8 %: {REFALO}, "
    "data/recovery_time_course.csv rows 1 to 3"
)
DECLINE = (
    "fitted to sets to failure of bench press, curl, knee extension and squat "
    "(UNIPAM article 5032; RBME 2007 13(5); a secondary squat report) and to the totals of "
    "Ratamess NA et al 2010 and Faigenbaum AD et al 2008; 17 numbers of 11 conditions, 25 Nov 2026, "
    "python -m coachdesk.engine.fit"
)


@dataclass(frozen=True)
class Constant:
    """One default: `basis` is published, secondary, from memory, computed, fitted, model or trade."""

    name: str
    value: float
    unit: str
    source: str
    basis: str


def _rows(*rows: tuple[str, float, str, str, str]) -> tuple[Constant, ...]:
    return tuple(Constant(*row) for row in rows)


CONSTANTS: tuple[Constant, ...] = _rows(
    (
        "slope_below_one_rep",
        0.05,
        "of 1RM a rep",
        f"the chart's own step from 1 to 2 reps; {HANDBOOK}",
        "model",
    ),
    ("curve_last_rep", 15, "reps", f"last row of the chart; {HANDBOOK}", "published"),
    ("equation_checked_to", 10, "reps", "most published equations were made for up to 10 reps", "published"),
    ("lightest_failure", 0.30, "of 1RM", MODEL + ": lighter steps to failure are not predicted", "model"),
    ("endurance_leg_press", 1.6, "x", RICHENS, "published"),
    ("endurance_lower", 1.3, "x", f"{RICHENS}; {TRADE}", "trade"),
    (
        "tau_fast_s",
        45,
        "s",
        "within 30-82 s: Harris 1976; Bogdanis GC et al 1995 J Physiol 482:467-480",
        "from memory",
    ),
    ("tau_slow_s", 1800, "s", MODEL + ": 300 to 3,600 s fit alike", "model"),
    ("slow_s0", 0.22, "share", DECLINE, "fitted"),
    ("slow_a", 0.25, "x", STOPPING, "model"),
    ("slow_b", 1.75, "x", STOPPING, "model"),
    ("slow_reserve_reps", 1.5, "reps", STOPPING, "model"),
    ("slow_cap", 0.95, "share", MODEL, "model"),
    ("least_strength", 0.05, "of 1RM", MODEL + ": keeps the arithmetic defined", "model"),
    ("indirect_share", 0.5, "sets", PELLAND, "published"),
    ("hard_set_rir", 3, "RIR", TRADE, "trade"),
    ("drop_least_reps", 4, "reps", f"{COLEMAN}; {SODAL}; {TRADE}", "trade"),
    ("drop_rir", 2, "RIR", f"{COLEMAN}; {SODAL}; {TRADE}", "trade"),
    ("drop_adds", 0.5, "sets", f"{COLEMAN}; {SODAL}; too few to tell 1.5 from 3", "trade"),
    ("drop_most", 3.0, "sets", f"{COLEMAN}; {SODAL}", "trade"),
    ("band_health_low", 2, "sets a week", f"{PALUCH}; {WHO}", "published"),
    ("band_health_high", 8, "sets a week", TRADE, "trade"),
    ("band_novice_low", 4, "sets a week", f"{IVERSEN}; {PELLAND} (as reported)", "published"),
    ("band_novice_high", 10, "sets a week", f"{PELLAND} (as reported)", "secondary"),
    ("band_intermediate_low", 6, "sets a week", f"{PELLAND}; {SCHOENFELD}", "published"),
    ("band_intermediate_high", 16, "sets a week", TRADE, "trade"),
    ("band_advanced_low", 10, "sets a week", BAZ_VALLE + " (12-20, young trained men)", "published"),
    ("band_advanced_high", 20, "sets a week", BAZ_VALLE + " (12-20, young trained men)", "published"),
    ("band_hold_low", 2, "sets a week", TRADE, "trade"),
    ("band_hold_high", 6, "sets a week", TRADE, "trade"),
    ("high_fatigue", 6, "units", REFALO + ": six sets to failure, gone by 48 h", "model"),
    ("high_fatigue_careful", 4, "units", TRADE, "trade"),
    ("hours_apart", 48, "h", f"{GARBER} (from memory); {HANDBOOK}: 48-72 h", "published"),
    ("hours_apart_long", 72, "h", f"{HANDBOOK}: 48-72 h; {MORAN}", "published"),
    ("long_gap_failure_sets", 3, "sets", MORAN, "model"),
    ("half_life_h", 20, "h", f"fitted by hand to {REFALO}", "fitted"),
    ("half_life_failure_h", 28, "h", f"fitted by hand to {REFALO}; {MORAN}", "fitted"),
    ("half_life_careful", 1.25, "x", TRADE, "trade"),
    ("cost_cap", 0.5, "of 1RM", MODEL, "model"),
    ("reserve_reps", 1.5, "reps", MODEL + ": as slow_reserve_reps", "model"),
    ("resolve_above", 0.025, "of the load", f"slope of the chart; {HANDBOOK}", "computed"),
    ("far_off_above", 0.075, "of the load", TRADE, "trade"),
    ("rir_missed", 2, "RIR", TRADE + ": 2.5-4 % a rep", "trade"),
    ("untrained_weeks", 8, "weeks", f"{TRADE}; {RAWSON}", "trade"),
    ("untrained_rir", 3, "RIR", f"{TRADE}; {RAWSON}", "trade"),
    ("older_age", 65, "years", TRADE, "trade"),
    ("maximum_work", 0.975, "of 1RM", MODEL + ": above it a single is a maximum attempt", "model"),
    ("heavy_reps", 3, "reps", TRADE + ": prescribe 3RM and heavier from the lower quarter", "trade"),
    ("lower_quarter", 0.6745, "SD", "quartile of the normal distribution", "computed"),
    (
        "seconds_per_rep",
        3.0,
        "s",
        "Marshall PWM et al 2012 J Sci Med Sport 15:153-158 (consistent with 3 s)",
        "published",
    ),
    ("seconds_per_metre", 1.0, "s", TRADE, "trade"),
    ("setup_s", 60, "s", TRADE, "trade"),
    ("change_stack_s", 3, "s", TRADE, "trade"),
    ("change_dumbbell_s", 6, "s", TRADE, "trade"),
    ("change_plates_s", 15, "s", TRADE, "trade"),
    ("warmup_rest_s", 60, "s", HANDBOOK + ": one minute after the light warm-up", "published"),
    ("warmup_deposit_above", 0.85, "of working load", MODEL, "model"),
    ("strength_day_sd", 0.02, "log", MODEL, "model"),
    ("strength_week_sd", 0.006, "log", MODEL, "model"),
    ("strength_trend_sd", 0.002, "log a week", MODEL, "model"),
    ("rep_noise", 0.004, "log a rep", "between-rep slope of the curves; " + MODEL, "model"),
    ("rir_noise_reps", 0.75, "reps", f"{HACKETT}; Florida Atlantic University thesis", "published"),
    ("rir_bias_sd", 1.0, "reps", f"between-person bias of typed RIR; {HACKETT}; size: {MODEL}", "model"),
    ("rir_noise_per_rir", 0.2, "reps a RIR", f"{HACKETT}; Florida Atlantic University thesis", "published"),
    ("tired_noise", 0.15, "log by strength lost", MODEL, "model"),
    ("capacity_evidence", 0.2, "x", MODEL + ": sets of one person are less independent than the model has it", "model"),
    ("curve_shape_sd", 0.025, "log", "spread of the seven published equations at four reps", "computed"),
    ("curve_shape_grows", 0.1, "x", "1RM of the equations against the chart, slopes matched by capacity", "computed"),
    ("capacity_zones_apart", 0.15, "of 1RM", MODEL, "model"),
    ("capacity_sd", 0.25, "log", f"between-person spread of reps at a percentage; {RICHENS}; size: {MODEL}", "model"),
    ("uninformative_sets", 15, "sets", TRADE, "trade"),
    (
        "recovery_sd",
        0.35,
        "log",
        MODEL + ": spread between people of recovery between sets",
        "model",
    ),
    ("recovery_sessions", 8, "sessions", MODEL, "model"),
    ("recovery_evidence", 0.5, "x", MODEL + ": sets of one session are not independent", "model"),
    ("reps_informative", 15, "reps", HANDBOOK + ": last row of the chart", "published"),
    *TRAINING_ROWS,
    *NEED_ROWS,
)

_BY_NAME = {constant.name: constant for constant in CONSTANTS}


def value(name: str) -> float:
    """The number of a default."""
    return _BY_NAME[name].value


def source(name: str) -> str:
    """Where a default comes from, for the sentence under a flag."""
    return _BY_NAME[name].source
