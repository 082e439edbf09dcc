"""House rules: the thresholds a coach may change, with the desk's defaults."""

from __future__ import annotations

from dataclasses import dataclass, fields

from .constants import value
from .equations import CURVE_NAMES
from .errors import number, one_of
from .frozen import hash_once

Band = tuple[float, float]


@hash_once
@dataclass(frozen=True)
class Rules:
    """Every default; sources stand beside the same names in `constants.CONSTANTS`."""

    curve: str = "handbook"
    band_health: Band = (value("band_health_low"), value("band_health_high"))
    band_novice: Band = (value("band_novice_low"), value("band_novice_high"))
    band_intermediate: Band = (value("band_intermediate_low"), value("band_intermediate_high"))
    band_advanced: Band = (value("band_advanced_low"), value("band_advanced_high"))
    band_hold: Band = (value("band_hold_low"), value("band_hold_high"))
    band_strength: Band = (value("band_strength_low"), value("band_strength_high"))
    high_fatigue: float = value("high_fatigue")
    high_fatigue_careful: float = value("high_fatigue_careful")
    hours_apart: float = value("hours_apart")
    hours_apart_long: float = value("hours_apart_long")
    long_gap_failure_sets: float = value("long_gap_failure_sets")
    half_life_h: float = value("half_life_h")
    half_life_failure_h: float = value("half_life_failure_h")
    half_life_careful: float = value("half_life_careful")
    resolve_above: float = value("resolve_above")
    far_off_above: float = value("far_off_above")
    rir_missed: float = value("rir_missed")
    untrained_weeks: float = value("untrained_weeks")
    untrained_rir: float = value("untrained_rir")
    older_age: float = value("older_age")
    maximum_work: float = value("maximum_work")
    heavy_reps: float = value("heavy_reps")
    hard_set_rir: float = value("hard_set_rir")
    drop_least_reps: float = value("drop_least_reps")
    drop_rir: float = value("drop_rir")
    drop_adds: float = value("drop_adds")
    drop_most: float = value("drop_most")
    setup_s: float = value("setup_s")
    change_stack_s: float = value("change_stack_s")
    change_dumbbell_s: float = value("change_dumbbell_s")
    change_plates_s: float = value("change_plates_s")
    warmup_rest_s: float = value("warmup_rest_s")
    seconds_per_metre: float = value("seconds_per_metre")
    strength_least: float = value("strength_least")
    session_sets: float = value("session_sets")
    session_sets_careful: float = value("session_sets_careful")
    jump_share: float = value("jump_share")
    jump_sets: float = value("jump_sets")
    jump_severe_share: float = value("jump_severe_share")
    jump_severe_sets: float = value("jump_severe_sets")
    new_muscle_sets: float = value("new_muscle_sets")
    habit_lighter: float = value("habit_lighter")
    unaccustomed_times: float = value("unaccustomed_times")
    unaccustomed_sets: float = value("unaccustomed_sets")
    unaccustomed_hard: float = value("unaccustomed_hard")
    unrecovered: float = value("unrecovered")
    technique_share: float = value("technique_share")
    technique_per_exercise: float = value("technique_per_exercise")
    technique_sessions: float = value("technique_sessions")
    technique_weeks: float = value("technique_weeks")
    technique_off_weeks: float = value("technique_off_weeks")
    maximum_old_days: float = value("maximum_old_days")
    maximum_old_days_novice: float = value("maximum_old_days_novice")
    maximum_half_width: float = value("maximum_half_width")
    over_time_share: float = value("over_time_share")
    over_time_min: float = value("over_time_min")
    over_time_severe: float = value("over_time_severe")
    monotony_from: float = value("monotony_from")
    monotony_sessions: float = value("monotony_sessions")
    impossible_reps: float = value("impossible_reps")
    impossible_ratio: float = value("impossible_ratio")
    impossible_calibrated: float = value("impossible_calibrated")
    load_jump: float = value("load_jump")
    layoff_days: float = value("layoff_days")
    layoff_long_days: float = value("layoff_long_days")
    test_days: float = value("test_days")
    peak_days: float = value("peak_days")
    lighter_week: float = value("lighter_week")
    return_cut_1: float = value("return_cut_1")
    return_cut_2: float = value("return_cut_2")
    return_cut_3: float = value("return_cut_3")
    return_cut_4: float = value("return_cut_4")
    missed_rir_load: float = value("missed_rir_load")
    start_share: float = value("start_share")
    raise_share: float = value("raise_share")
    raise_weeks: float = value("raise_weeks")
    raise_habit: float = value("raise_habit")
    raise_adherence: float = value("raise_adherence")
    heavy_breath: float = value("heavy_breath")
    same_reports: float = value("same_reports")
    exposure_extra: float = value("exposure_extra")
    exposure_sessions: float = value("exposure_sessions")
    minutes_prior: float = value("minutes_prior")
    pain_go_on: float = value("pain_go_on")
    pain_hold: float = value("pain_hold")
    pain_running: float = value("pain_running")
    pain_days: float = value("pain_days")
    pain_step_rir: float = value("pain_step_rir")
    symmetry_below: float = value("symmetry_below")
    need_stop: float = value("need_stop")
    need_stop_coming: float = value("need_stop_coming")
    need_no_program: float = value("need_no_program")
    need_message: float = value("need_message")
    need_plan_left: float = value("need_plan_left")
    need_falling: float = value("need_falling")
    need_stalled: float = value("need_stalled")
    need_falling_chance: float = value("need_falling_chance")
    need_stalled_chance: float = value("need_stalled_chance")
    need_trend_sets: float = value("need_trend_sets")
    need_pain: float = value("need_pain")
    need_missed: float = value("need_missed")
    need_missed_most: float = value("need_missed_most")
    need_unrecovered: float = value("need_unrecovered")
    need_check: float = value("need_check")
    need_note: float = value("need_note")
    need_flags_most: float = value("need_flags_most")
    need_ending_week: float = value("need_ending_week")
    need_ending: float = value("need_ending")
    need_old_maximum: float = value("need_old_maximum")
    need_no_maximum: float = value("need_no_maximum")
    need_silent: float = value("need_silent")
    need_silent_days: float = value("need_silent_days")
    warmup: tuple[tuple[float, int], ...] = ((0.50, 8), (0.70, 4), (0.85, 2))

    def __post_init__(self) -> None:
        one_of("curve", self.curve, CURVE_NAMES)
        for field in fields(self):
            given = getattr(self, field.name)
            if field.name.startswith("band_"):
                low, high = given if isinstance(given, tuple) and len(given) == 2 else (None, None)
                number(field.name, high, number(field.name, low, 0, 1000), 1000)
            elif field.name == "warmup":
                for row in given if isinstance(given, tuple) else (None,):
                    share, reps = row if isinstance(row, tuple) and len(row) == 2 else (None, None)
                    number("warm-up share", share, 0.05, 1)
                    number("warm-up reps", reps, 1, 50)
            elif field.name != "curve":
                number(field.name, given, 0.001 if field.name.startswith("half_life") else 0, 1_000_000)

    def change_over_s(self, equipment_kind: str) -> float:
        """Seconds to change the load inside a drop set."""
        return {"stack": self.change_stack_s, "barbell": self.change_plates_s}.get(
            equipment_kind, self.change_dumbbell_s
        )


DEFAULT = Rules()
