"""What each default and each house rule means in plain words, and under which heading it stands."""

from __future__ import annotations

from dataclasses import fields
from functools import cache

from .constants import CONSTANTS, HANDBOOK, TRADE, Constant
from .rules import Rules

# Order of the headings on every page that lists rules or numbers.
GROUPS: tuple[tuple[str, str], ...] = (
    ("bands", "Weekly sets"),
    ("counting", "What a set counts for"),
    ("recovery", "Recovery between sessions"),
    ("care", "Untrained, older and returning people"),
    ("techniques", "Drop sets, rest-pause and other advanced techniques"),
    ("loads", "Loads and rounding"),
    ("maxima", "Maximum strength"),
    ("curves", "Load against repetitions"),
    ("within", "Strength left inside a session"),
    ("time", "Time and warm-up"),
    ("progress", "Starting volume and raising it"),
    ("pain", "Pain and symmetry"),
    ("need", "Who needs you first: the order of the roster"),
    ("other", "Other"),
)

WORDS: dict[str, tuple[str, str]] = {
    "band_health": ("bands", "Fractional sets a week, health, untrained or older beginner"),
    "band_novice": ("bands", "Fractional sets a week, novice (under 6 months), for size"),
    "band_intermediate": ("bands", "Fractional sets a week, intermediate (6 months to 3 years), for size"),
    "band_advanced": ("bands", "Fractional sets a week, advanced (over 3 years), for size"),
    "band_hold": ("bands", "Fractional sets a week to hold a muscle"),
    "band_strength": ("bands", "Direct sets of a lift a week, for strength"),
    "session_sets": ("bands", "Flagged above this many sets of a muscle in one session"),
    "session_sets_careful": ("bands", "Flagged in one session, for novices and people of 65 and over, above"),
    "jump_share": ("bands", "A jump against the habit is flagged above"),
    "jump_sets": ("bands", "A jump against the habit is flagged only above this many sets more"),
    "jump_severe_share": ("bands", "A severe jump is above"),
    "jump_severe_sets": ("bands", "A severe jump is at least this many sets more"),
    "new_muscle_sets": ("bands", "A muscle without habit is flagged above"),
    "habit_lighter": ("bands", "A week counts as lighter, and not for the habit, below"),
    "strength_least": ("counting", "Steps below this load count nothing for strength"),
    "unrecovered": ("recovery", "Starts unrecovered above this fatigue left, of the muscle's usual session"),
    "exposure_extra": ("recovery", "What the first session of an exercise costs more"),
    "exposure_sessions": ("recovery", "Sessions until an exercise costs the usual"),
    "test_days": ("recovery", "Hard work of a tested muscle is flagged before a test within"),
    "peak_days": ("recovery", "A date to peak for asks for lighter days before it, for"),
    "same_reports": ("care", "RIR reports are asked about after this many alike"),
    "unaccustomed_times": ("care", "Unaccustomed volume: this many times the habit"),
    "unaccustomed_sets": ("care", "Unaccustomed volume: at least this many sets a week"),
    "unaccustomed_hard": ("care", "Unaccustomed volume: or this many sets near failure in one session"),
    "heavy_breath": ("care", "With high blood pressure, lifts from this load are flagged for breath-holding"),
    "layoff_days": ("care", "A layoff asks for one lighter week from"),
    "layoff_long_days": ("care", "A layoff asks for a four-week return from"),
    "lighter_week": ("care", "A lighter week takes away"),
    "return_cut_1": ("care", "A return takes away in week 1"),
    "return_cut_2": ("care", "A return takes away in week 2"),
    "return_cut_3": ("care", "A return takes away in week 3"),
    "return_cut_4": ("care", "A return takes away in week 4"),
    "technique_share": ("techniques", "Largest share of a muscle's hard sets in a week"),
    "technique_per_exercise": ("techniques", "Most sets of one exercise in a session"),
    "technique_sessions": ("techniques", "Most sessions with advanced techniques"),
    "technique_weeks": ("techniques", "Longest block with advanced techniques"),
    "technique_off_weeks": ("techniques", "Weeks without advanced techniques before the next block"),
    "load_jump": ("loads", "A jump in load is flagged above"),
    "impossible_reps": ("loads", "A target is impossible when it asks for this many reps more than expected"),
    "impossible_ratio": ("loads", "A target is impossible when it also asks for this many times the reps expected"),
    "impossible_calibrated": ("loads", "Times the reps expected, once repetition capacity is learned"),
    "missed_rir_load": ("loads", "After a missed reserve the next set is lighter by"),
    "maximum_old_days": ("maxima", "A maximum is old after"),
    "maximum_old_days_novice": ("maxima", "A novice's maximum is old after"),
    "maximum_half_width": ("maxima", "A maximum is unsure when its interval reaches this far to either side"),
    "capacity_evidence": ("maxima", "What one set counts for when repetition capacity is learned"),
    "curve_shape_sd": ("maxima", "Doubt of the curve's shape at a few reps"),
    "curve_shape_grows": ("maxima", "How that doubt grows with distance in load"),
    "uninformative_sets": ("maxima", "Alike RIR answers that say nothing, from"),
    "recovery_sd": ("within", "How much people differ in how fast strength comes back between sets"),
    "recovery_sessions": ("within", "Sessions until a client's own recovery is used"),
    "recovery_evidence": ("within", "What one session counts for when recovery is learned"),
    "rir_noise_per_rir": ("maxima", "What each further rep in reserve adds to that error"),
    "tired_noise": ("maxima", "Doubt that strength already lost adds to what a set says"),
    "capacity_zones_apart": ("maxima", "Load zones must lie this far apart to learn repetition capacity"),
    "over_time_share": ("time", "A session is over time by more than"),
    "over_time_min": ("time", "A session is over time also by more than"),
    "over_time_severe": ("time", "A session is far over time by more than"),
    "minutes_prior": ("time", "Sessions logged until minutes taken weigh as much as minutes planned"),
    "monotony_from": ("recovery", "Weeks of equal sessions are flagged from a monotony of"),
    "monotony_sessions": ("recovery", "Sessions a week, all rated, for monotony to mean anything"),
    "stall_weeks": ("progress", "An exercise is no stall before it was done in"),
    "review_weeks": ("progress", "Next week is proposed from the last weeks that are over"),
    "review_attendance": ("progress", "Less is proposed where fewer sessions took place than"),
    "review_falling": ("progress", "A lighter week is proposed when strength falls in this many exercises"),
    "review_less": ("progress", "A week counts as lighter from this share of sets less"),
    "review_fewer_reps": ("progress", "Heavier sets mean this many reps less"),
    "review_least_reps": ("progress", "Heavier sets are not proposed below"),
    "review_listed": ("progress", "Exercises that do not rise are proposed on at a time, at most"),
    "review_rest": ("progress", "Longer rest between sets means this much more"),
    "review_rest_most": ("progress", "Longer rest is not proposed beyond"),
    "start_share": ("progress", "Volume starts at"),
    "raise_share": ("progress", "Volume is raised each time by"),
    "raise_weeks": ("progress", "Volume is raised every"),
    "raise_habit": ("progress", "Raised only from a habit of"),
    "raise_adherence": ("progress", "Volume is raised only with this share of sessions done"),
    "goal_reps_over": ("progress", "The load goes up when the last set beats its goal by"),
    "goal_sessions": ("progress", "in this many sessions in a row"),
    "pain_go_on": ("pain", "Goes on as planned up to a pain of"),
    "pain_hold": ("pain", "Load and sets are held up to a pain of; above it one step down"),
    "pain_running": ("pain", "Refer or review after this many reports running that ask for a step down"),
    "pain_days": ("pain", "A pain report counts for"),
    "pain_step_rir": ("pain", "An easier exercise begins by effort, with"),
    "symmetry_below": ("pain", "Symmetry is noted below"),
    "need_stop": ("need", "Each open stop adds"),
    "need_stop_coming": ("need", "Each stop of next week adds"),
    "need_no_program": ("need", "No programme running or coming adds"),
    "need_message": ("need", "A message not answered adds, however many"),
    "need_plan_left": ("need", "A session logged from a sheet that the plan has left adds, however many"),
    "need_falling": ("need", "Strength falling adds, however many exercises"),
    "need_stalled": ("need", "Strength not rising adds, however many exercises"),
    "need_falling_chance": ("need", "Strength counts as falling when the chance that it rises is below"),
    "need_stalled_chance": ("need", "Strength counts as not rising when that chance is below"),
    "need_trend_sets": ("need", "A trend counts from this many sets or tests of an exercise"),
    "need_pain": ("need", "Pain that asks for something adds, where it is no stop"),
    "need_missed": ("need", "Each session missed in 14 days adds"),
    "need_missed_most": ("need", "Missed sessions counted, at most"),
    "need_unrecovered": ("need", "A muscle that starts unrecovered adds, however many"),
    "need_check": ("need", "Each other open check adds"),
    "need_note": ("need", "Each open note adds"),
    "need_flags_most": ("need", "Checks and notes counted, at most of each"),
    "need_ending_week": ("need", "A programme that ends within 7 days adds"),
    "need_ending": ("need", "A programme that ends within 14 days adds"),
    "need_old_maximum": ("need", "An old maximum adds, however many"),
    "need_no_maximum": ("need", "A maximum that is not known adds, however many"),
    "need_silent": ("need", "Nothing logged for long adds, where sessions were planned"),
    "need_silent_days": ("need", "Nothing logged counts as long after"),
    "indirect_share": ("counting", "What an indirect set counts for a muscle"),
    "hard_set_rir": ("counting", "A set is hard when it ends within this many RIR"),
    "drop_least_reps": ("counting", "Fewest reps for a further drop to count"),
    "drop_rir": ("counting", "A further drop counts when it ends within this many RIR"),
    "drop_adds": ("counting", "What each further drop adds"),
    "drop_most": ("counting", "The most one drop set counts for"),
    "high_fatigue": ("recovery", "A session is hard for a muscle from this much fatigue"),
    "high_fatigue_careful": ("recovery", "A session is hard, for novices, people of 65 and over, and returns, from"),
    "hours_apart": ("recovery", "Between two hard sessions of a muscle"),
    "hours_apart_long": (
        "recovery",
        "Between hard sessions after sets to failure or drops, for novices and older people",
    ),
    "long_gap_failure_sets": ("recovery", "Sets to failure or with drops that ask for the longer gap"),
    "half_life_h": ("recovery", "Half-life of fatigue, short of failure"),
    "half_life_failure_h": ("recovery", "Half-life of fatigue, to failure"),
    "half_life_careful": ("recovery", "Half-life longer for novices and older people, by"),
    "cost_cap": ("recovery", "The most strength lost that counts as cost of one step"),
    "reserve_reps": ("recovery", "How fast nearness to failure stops counting"),
    "untrained_weeks": ("care", "No sets to failure in the first"),
    "untrained_rir": ("care", "Least RIR in that time"),
    "older_age": ("care", "Counted as older from"),
    "maximum_work": ("care", "A single above this counts as a maximum attempt"),
    "resolve_above": ("loads", "Reps are worked out anew when the load made is off by more than"),
    "far_off_above": ("loads", "Flagged when the load made is off by more than"),
    "rir_missed": ("loads", "Flagged when the reps asked for miss their reserve by"),
    "heavy_reps": ("loads", "Prescribe from the lower quarter at this many reps or fewer"),
    "symmetry_step": ("pain", "A note of symmetry set aside returns when the index moves by"),
    "interval_90": ("maxima", "Half the width of a 90 % interval"),
    "lower_quarter": ("maxima", "The lower quarter of an estimate lies below its middle by"),
    "strength_day_sd": ("maxima", "How much strength differs from day to day"),
    "strength_week_sd": ("maxima", "How much strength drifts in a week"),
    "strength_trend_sd": ("maxima", "How much the trend changes in a week"),
    "rep_noise": ("maxima", "Doubt that each rep adds to what a set says"),
    "rir_noise_reps": ("maxima", "Usual error of a typed RIR"),
    "rir_bias_sd": ("maxima", "How much people differ in how they judge RIR"),
    "capacity_sd": ("maxima", "How much people differ in reps at one percentage"),
    "reps_informative": ("maxima", "Sets of more reps do not raise the estimate"),
    "curve": ("curves", "Curve of load against reps to failure"),
    "slope_below_one_rep": ("curves", "Step of the curve below one rep"),
    "curve_last_rep": ("curves", "Last rep of the published curves"),
    "equation_checked_to": ("curves", "Most equations were made for up to"),
    "lightest_failure": ("curves", "Lightest load at which sets to failure are predicted"),
    "endurance_leg_press": ("curves", "Repetition capacity on the leg press"),
    "endurance_lower": ("curves", "Repetition capacity in other multi-joint lower-body lifts"),
    "tau_fast_s": ("within", "Time constant of what comes back fast"),
    "reps_person_sd": ("within", "How far fresh people differ from the reps expected (one SD)"),
    "reps_sets_error": ("within", "How far the model misses later sets"),
    "reps_bouts_error": ("within", "How far it may miss drops and bouts after short pauses"),
    "tau_slow_s": ("within", "Time constant of what comes back slowly"),
    "slow_s0": ("within", "Scale of the share that comes back slowly"),
    "slow_a": ("within", "Slow share far from failure, times the scale"),
    "slow_b": ("within", "What nearness to failure adds to the slow share, times the scale"),
    "slow_reserve_reps": ("within", "Reps in reserve over which that fades"),
    "slow_cap": ("within", "The most of a loss that may be slow"),
    "least_strength": ("within", "Strength left is never taken to be less than"),
    "warmup_deposit_above": ("within", "Warm-up sets cost nothing up to"),
    "warmup": ("time", "Warm-up sets, share of the working load and reps"),
    "seconds_per_rep": ("time", "A rep takes"),
    "seconds_per_metre": ("time", "A metre walked under load takes"),
    "setup_s": ("time", "Setting up for an exercise takes"),
    "change_stack_s": ("time", "Changing the load inside a set, stack"),
    "change_dumbbell_s": ("time", "Changing the load inside a set, dumbbells"),
    "change_plates_s": ("time", "Changing the load inside a set, plates"),
    "warmup_rest_s": ("time", "Rest after a warm-up set"),
}

# Rules that are not one number of the table: their unit, source and basis.
_OTHER: dict[str, tuple[str, str, str]] = {
    "warmup": ("of the working load x reps", TRADE, "trade"),
    "curve": ("", f"the chart of {HANDBOOK}, or one of the published equations", "published"),
}

BASIS_WORDS = {
    "published": "published",
    "secondary": "a report of the publication",
    "from memory": "from memory",
    "computed": "computed",
    "fitted": "fitted",
    "model": "modelling choice",
    "trade": "common practice",
}


@cache
def _constants() -> dict[str, Constant]:
    return {constant.name: constant for constant in CONSTANTS}


def group_of(name: str) -> str:
    """The key of the heading a rule or constant stands under; 'other' where nothing was said."""
    return WORDS.get(_stem(name), ("other", ""))[0]


def words_for(name: str) -> str:
    """A rule or constant in plain words; the two ends of a band by their band."""
    stem = _stem(name)
    words = WORDS[stem][1] if stem in WORDS else name.replace("_", " ").capitalize()
    if stem == name:
        return words
    return f"{words}: {'least' if name.endswith('_low') else 'most'}"


def _stem(name: str) -> str:
    for end in ("_low", "_high"):
        if name not in WORDS and name.removesuffix(end) in WORDS:
            return name.removesuffix(end)
    return name


def rule_names() -> tuple[str, ...]:
    """Every house rule, by heading and then in the order of the engine's Rules."""
    order = [key for key, _ in GROUPS]
    names = [field.name for field in fields(Rules)]
    return tuple(sorted(names, key=lambda name: order.index(group_of(name))))


def rule_unit(name: str) -> str:
    """The unit of a rule's number; of both ends for a band."""
    found = _constants().get(name) or _constants().get(f"{name}_low")
    return found.unit if found else _OTHER.get(name, ("", "", ""))[0]


def rule_basis(name: str) -> tuple[tuple[str, str], ...]:
    """(source, basis in words) of a rule's default: one pair, or one each for the ends of a band that differ."""
    table = _constants()
    found = [table[key] for key in (name, f"{name}_low", f"{name}_high") if key in table]
    if not found:
        _unit, source, basis = _OTHER.get(name, ("", TRADE, "trade"))
        return ((source, BASIS_WORDS[basis]),)
    return tuple(dict.fromkeys((one.source, BASIS_WORDS[one.basis]) for one in found))
