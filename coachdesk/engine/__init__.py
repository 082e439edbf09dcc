"""The prescription engine: training arithmetic in pure functions on frozen values."""

from .because import Because, sentence
from .constants import CONSTANTS, Constant
from .context import PRECAUTIONS, UNKNOWN, Context, LoadDone, TargetDay, precaution
from .curves import fraction_for_reps, is_extension, one_rep_max, reps_for_fraction
from .edits import apply_edits, without_dates
from .effort import rir_for_rpe, rpe_for_rir
from .equipment import (
    Barbell,
    BodyWeight,
    Dumbbells,
    Equipment,
    FixedBars,
    Ordinal,
    Stack,
    makeable,
    places_down,
    plates_per_side,
    round_load,
    setup_text,
)
from .equipment_codec import equipment_from_json, equipment_to_json
from .errors import EngineError
from .fatigue import (
    exercise_fatigue,
    exposure_factor,
    fatigue_on,
    fatigue_series,
    half_life_hours,
    hard_from,
    impulse_units,
    needed_days,
    next_hard_day,
)
from .flag_volume import band_for
from .flags import Edit, Flag, Remedy, Where
from .habit import Habit, habit
from .learn import Bout, ExerciseSeen, Honesty, Learned, honesty, learn_bias, learn_client, prior_from_log
from .learn_recovery import Recovery, learn_recovery
from .lifts import lift_sets, strength_sets
from .load_series import ewma, monotony, strain
from .loads import UNITS, Load, convert, format_load, from_kg, load_in_words, parse_added, parse_load, to_kg
from .muscles import MUSCLES, Muscle, muscle
from .places import next_place
from .plans import BestTime, ClientTraits, ExercisePlan, ExerciseTraits, PlaceDone, SessionPlan
from .prescribe import prescribe_session
from .prescribed import Count, PrescribedExercise, PrescribedSession, PrescribedStep
from .programme import PrescribedProgram, WeekTotals, find_flags, prescribe_weeks
from .progress import (
    Proposal,
    after_missed_reserve,
    body_area,
    double_progression,
    goal_met,
    lighter_week,
    load_step,
    next_load,
    return_sets,
    starting_sets,
    weekly_sets,
)
from .quota import split_quota
from .ramp import maximum_ramp
from .reps_range import expected_range
from .rules import DEFAULT, Rules
from .scheme import MOST_SETS, SCHEMES, LoadRule, RepRule, Scheme, SchemeKind, StepRule, expand
from .scheme_codec import scheme_from_json, scheme_to_json
from .scheme_edits import (
    ends_early,
    set_count,
    with_effort,
    with_fixed_load,
    with_loads_as_made,
    with_rir,
    with_sets,
    without_last_drop,
)
from .scheme_fields import FIELDS, FieldErrors, read_reps, read_rest, scheme_from_fields, scheme_to_fields
from .scheme_shift import has_fixed_load, load_added, own_load, with_loads_of, with_reps, without_fixed_loads
from .scheme_words import rep_words, rest_words, scheme_words
from .session_load import minutes_ratio, session_load
from .setting import ALWAYS_THERE
from .sharing import Stint, best_swap, clashes, clashing_s, on_one_clock, staggered
from .shorter import InDrops, SetLeft, Shorter, WorkLeft, shorten
from .shorter_drops import DropSet, drop_sets
from .strength import (
    Observation,
    Prior,
    Strength,
    StrengthLog,
    estimate_strength,
    prescribing_kg,
    suspicious_ratio,
)
from .strength_change import StrengthChange, strength_change
from .strength_left import Step, StepResult, predict_steps, session_seconds
from .substitutes import Stand, muscle_overlap, rank_substitutes
from .summary import MuscleSession, muscle_sessions
from .timing import lead_in_seconds, planned_seconds, sets_seconds, step_seconds
from .volume import MuscleWeek, count_set, count_sets, volume_load_kg, week_sets
from .written import LONGEST_WRITTEN, Written, read_written

__all__ = [
    "ALWAYS_THERE",
    "CONSTANTS",
    "DEFAULT",
    "FIELDS",
    "LONGEST_WRITTEN",
    "MOST_SETS",
    "MUSCLES",
    "PRECAUTIONS",
    "SCHEMES",
    "UNITS",
    "UNKNOWN",
    "Barbell",
    "Because",
    "BestTime",
    "BodyWeight",
    "Bout",
    "ClientTraits",
    "Constant",
    "Context",
    "Count",
    "DropSet",
    "Dumbbells",
    "Edit",
    "EngineError",
    "Equipment",
    "ExercisePlan",
    "ExerciseSeen",
    "ExerciseTraits",
    "FieldErrors",
    "FixedBars",
    "Flag",
    "Habit",
    "Honesty",
    "InDrops",
    "Learned",
    "Load",
    "LoadDone",
    "LoadRule",
    "Muscle",
    "MuscleSession",
    "MuscleWeek",
    "Observation",
    "Ordinal",
    "PlaceDone",
    "PrescribedExercise",
    "PrescribedProgram",
    "PrescribedSession",
    "PrescribedStep",
    "Prior",
    "Proposal",
    "Recovery",
    "Remedy",
    "RepRule",
    "Rules",
    "Scheme",
    "SchemeKind",
    "SessionPlan",
    "SetLeft",
    "Shorter",
    "Stack",
    "Stand",
    "Step",
    "StepResult",
    "StepRule",
    "Stint",
    "Strength",
    "StrengthChange",
    "StrengthLog",
    "TargetDay",
    "WeekTotals",
    "Where",
    "WorkLeft",
    "Written",
    "after_missed_reserve",
    "apply_edits",
    "band_for",
    "best_swap",
    "body_area",
    "clashes",
    "clashing_s",
    "convert",
    "count_set",
    "count_sets",
    "double_progression",
    "drop_sets",
    "ends_early",
    "equipment_from_json",
    "equipment_to_json",
    "estimate_strength",
    "ewma",
    "exercise_fatigue",
    "expand",
    "expected_range",
    "exposure_factor",
    "fatigue_on",
    "fatigue_series",
    "find_flags",
    "format_load",
    "fraction_for_reps",
    "from_kg",
    "goal_met",
    "habit",
    "half_life_hours",
    "hard_from",
    "has_fixed_load",
    "honesty",
    "impulse_units",
    "is_extension",
    "lead_in_seconds",
    "learn_bias",
    "learn_client",
    "learn_recovery",
    "lift_sets",
    "lighter_week",
    "load_added",
    "load_in_words",
    "load_step",
    "makeable",
    "maximum_ramp",
    "minutes_ratio",
    "monotony",
    "muscle",
    "muscle_overlap",
    "muscle_sessions",
    "needed_days",
    "next_hard_day",
    "next_load",
    "next_place",
    "on_one_clock",
    "one_rep_max",
    "own_load",
    "parse_added",
    "parse_load",
    "places_down",
    "planned_seconds",
    "plates_per_side",
    "precaution",
    "predict_steps",
    "prescribe_session",
    "prescribe_weeks",
    "prescribing_kg",
    "prior_from_log",
    "rank_substitutes",
    "read_reps",
    "read_rest",
    "read_written",
    "rep_words",
    "reps_for_fraction",
    "rest_words",
    "return_sets",
    "rir_for_rpe",
    "round_load",
    "rpe_for_rir",
    "scheme_from_fields",
    "scheme_from_json",
    "scheme_to_fields",
    "scheme_to_json",
    "scheme_words",
    "sentence",
    "session_load",
    "session_seconds",
    "set_count",
    "sets_seconds",
    "setup_text",
    "shorten",
    "split_quota",
    "staggered",
    "starting_sets",
    "step_seconds",
    "strain",
    "strength_change",
    "strength_sets",
    "suspicious_ratio",
    "to_kg",
    "volume_load_kg",
    "week_sets",
    "weekly_sets",
    "with_effort",
    "with_fixed_load",
    "with_loads_as_made",
    "with_loads_of",
    "with_reps",
    "with_rir",
    "with_sets",
    "without_dates",
    "without_fixed_loads",
    "without_last_drop",
]
