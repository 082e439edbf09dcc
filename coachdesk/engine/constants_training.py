"""Rows of the table of constants on volume, techniques, progression, layoff, maxima and session load."""

from __future__ import annotations

TRADE = "common practice, no source"
MODEL = "modelling choice of this desk"
REMMERT = "Remmert JF et al 2025 SportRxiv preprint 537 (secondary report; not a safety limit)"
PELLAND = "Pelland JC et al 2025 Sports Med doi:10.1007/s40279-025-02344-w"
FOSTER = "Foster C 1998 MSSE 30:1164-1168"
CSCCA = "CSCCa/NSCA 2019 Strength Cond J 41(3):1-23 doi:10.1519/SSC.0000000000000477"
RAWSON = "Rawson ES et al 2017 Sports Med 47(S1):33-49"
HANDBOOK = "Haff GG, Triplett NT (eds) 2016 Essentials of Strength Training and Conditioning, 4th ed"
RICHENS = "Richens B, Cleather DJ 2014 Biol Sport"
PAIN = "pain-monitoring model, from memory"
WILLIAMS = "Williams MA et al 2007 Circulation 116:572-584 doi:10.1161/CIRCULATIONAHA.107.185214"

Row = tuple[str, float, str, str, str]
TRAINING_ROWS: tuple[Row, ...] = (
    ("band_strength_low", 2, "sets a week", f"direct sets a lift: {PELLAND} (as reported)", "secondary"),
    ("band_strength_high", 10, "sets a week", f"direct sets a lift; {TRADE}", "trade"),
    ("strength_least", 0.65, "of 1RM", f"{TRADE}: lighter steps count nothing for strength", "trade"),
    ("session_sets", 11, "sets", REMMERT, "secondary"),
    ("session_sets_careful", 6, "sets", TRADE, "trade"),
    ("jump_share", 0.20, "of habit", TRADE, "trade"),
    ("jump_sets", 2, "sets", TRADE, "trade"),
    ("jump_severe_share", 0.50, "of habit", TRADE, "trade"),
    ("jump_severe_sets", 4, "sets", TRADE, "trade"),
    ("new_muscle_sets", 4, "sets a week", TRADE, "trade"),
    ("habit_lighter", 0.70, "of the usual week", f"{TRADE}: weeks below it are left out of the habit", "trade"),
    ("unaccustomed_times", 3, "x habit", f"{RAWSON}; size: {TRADE}", "trade"),
    ("unaccustomed_sets", 8, "sets a week", f"{RAWSON}; size: {TRADE}", "trade"),
    ("unaccustomed_hard", 4, "sets", f"near failure in one session; {RAWSON}; size: {TRADE}", "trade"),
    ("unrecovered", 0.25, "of the usual", TRADE, "trade"),
    ("technique_share", 0.25, "of hard sets", TRADE, "trade"),
    ("technique_per_exercise", 1, "sets", TRADE, "trade"),
    ("technique_sessions", 2, "sessions a week", TRADE, "trade"),
    ("technique_weeks", 4, "weeks", TRADE, "trade"),
    ("technique_off_weeks", 2, "weeks", TRADE, "trade"),
    ("maximum_old_days", 42, "days", TRADE, "trade"),
    ("maximum_old_days_novice", 28, "days", TRADE, "trade"),
    ("maximum_half_width", 0.08, "of 1RM", TRADE, "trade"),
    ("over_time_share", 0.10, "of the time", TRADE, "trade"),
    ("over_time_min", 5, "min", TRADE, "trade"),
    ("over_time_severe", 0.25, "of the time", TRADE, "trade"),
    ("monotony_from", 2, "x", f"{FOSTER} (threshold from memory)", "from memory"),
    ("monotony_sessions", 4, "sessions", TRADE, "trade"),
    ("impossible_reps", 2, "reps", TRADE, "trade"),
    ("impossible_ratio", 1.35, "x", f"between-person SD 16-44 %: {RICHENS}", "computed"),
    ("impossible_calibrated", 1.2, "x", f"once repetition capacity is learned; {TRADE}", "trade"),
    ("load_jump", 0.10, "of the load", f"2.5 to 10 % of the load at a time: {HANDBOOK}", "published"),
    ("layoff_days", 14, "days", f"{CSCCA}; days: {TRADE}", "trade"),
    ("layoff_long_days", 28, "days", f"{CSCCA}; days: {TRADE}", "trade"),
    ("test_days", 1, "days", TRADE + ": no hard work of a tested muscle so near before a test", "trade"),
    ("peak_days", 7, "days", TRADE + ": lighter days before a date to peak for", "trade"),
    ("stall_weeks", 6, "weeks", TRADE + ": a new exercise gets better for other reasons first", "trade"),
    ("review_weeks", 3, "weeks", TRADE, "trade"),
    ("review_attendance", 0.67, "of the sessions", TRADE, "trade"),
    ("review_falling", 2, "exercises", TRADE, "trade"),
    ("review_less", 0.10, "of the sets", TRADE, "trade"),
    ("review_rest", 60, "s", TRADE, "trade"),
    ("review_rest_most", 300, "s", TRADE, "trade"),
    ("review_fewer_reps", 3, "reps", TRADE, "trade"),
    ("review_least_reps", 3, "reps", TRADE, "trade"),
    ("review_listed", 3, "exercises", TRADE, "trade"),
    ("lighter_week", 0.30, "of the sets", TRADE, "trade"),
    ("return_cut_1", 0.50, "of the sets", f"{CSCCA} (exact rule from memory)", "from memory"),
    ("return_cut_2", 0.30, "of the sets", f"{CSCCA} (exact rule from memory)", "from memory"),
    ("return_cut_3", 0.20, "of the sets", f"{CSCCA} (exact rule from memory)", "from memory"),
    ("return_cut_4", 0.10, "of the sets", f"{CSCCA} (exact rule from memory)", "from memory"),
    ("missed_rir_load", 0.05, "of the load", f"{TRADE}: 2.5-4 % a rep", "trade"),
    ("start_share", 1.20, "x habit", TRADE, "trade"),
    ("raise_share", 0.07, "of the sets", TRADE, "trade"),
    ("raise_weeks", 3, "weeks", TRADE, "trade"),
    ("raise_habit", 4, "sets a week", TRADE, "trade"),
    ("raise_adherence", 0.80, "of the sessions", TRADE, "trade"),
    ("goal_reps_over", 2, "reps", f"2-for-2 rule: {HANDBOOK} (partly from memory)", "from memory"),
    ("goal_sessions", 2, "sessions", f"2-for-2 rule: {HANDBOOK} (partly from memory)", "from memory"),
    ("heavy_breath", 0.85, "of 1RM", f"heavy lifts invite a held breath: {WILLIAMS}; size: {TRADE}", "trade"),
    ("same_reports", 20, "sets", TRADE, "trade"),
    ("exposure_extra", 0.5, "of the impulse", MODEL + ": first time; halved each time after", "model"),
    ("exposure_sessions", 3, "sessions", MODEL, "model"),
    ("minutes_prior", 5, "sessions", MODEL + ": weight of 'as planned'", "model"),
    ("pain_go_on", 2, "of 10", PAIN, "from memory"),
    ("pain_hold", 5, "of 10", PAIN, "from memory"),
    ("pain_running", 2, "reports", f"{PAIN}; how many: {TRADE}", "from memory"),
    ("pain_days", 28, "days", TRADE + ": older reports no longer answer for today", "trade"),
    ("pain_step_rir", 3, "RIR", TRADE + ": an easier exercise begins by effort", "trade"),
    ("interval_90", 1.6449, "SD", "half a 90 % interval of the normal distribution", "computed"),
    ("symmetry_below", 0.90, "of the stronger side", "common practice in rehabilitation, no source", "trade"),
    ("symmetry_step", 5, "%", MODEL + ": a note set aside returns when the index has moved so far", "model"),
    ("reps_person_sd", 0.16, "of the reps", f"smallest SD between people at a percentage; {RICHENS}", "published"),
    ("reps_sets_error", 0.10, "of the reps", "RMS error of the fit: python -m coachdesk.engine.fit", "fitted"),
    ("reps_bouts_error", 0.20, "of the reps", MODEL + ": drops and short pauses are extrapolation", "model"),
)
