"""What a card can be about: codes of scheme kinds, flags, house rules and other numbers, with their words."""

from functools import cache

from coachdesk import engine
from coachdesk.engine.number_words import rule_names, words_for

# Flags whose code is not the name of a rule too, in the words of a list.
FLAG_WORDS = {
    "sets_above_band": "Sets above the band", "sets_below_band": "Sets below the band",
    "lift_above_band": "Direct sets of a lift above the band", "volume_jump": "Jump against the habit",
    "unaccustomed_volume": "Unaccustomed hard volume", "sessions_too_close": "Hard sessions too close",
    "unrecovered": "Started unrecovered", "techniques_share": "Share of advanced techniques",
    "over_time": "Session over time", "target_impossible": "Target thought impossible",
    "failure_for_untrained": "Failure for the untrained", "screening_missing": "Screening missing",
    "clearance_expired": "Clearance expired", "precaution": "Precaution against an exercise",
    "breath_hold": "Breath-hold with high blood pressure", "rir_uninformative": "Uninformative RIR",
    "monotony": "Monotony", "test_after_hard": "Test after hard work",
    "peak_not_lighter": "No lighter days before a peak",
    "layoff": "Layoff", "pain_rule": "Pain rule", "symmetry": "Symmetry",
}  # fmt: skip
# Every flag in the words of a list.
FLAG_NAMES = {
    **FLAG_WORDS, "maximum_old": "Old maximum", "maximum_unknown": "No maximum known",
    "maximum_guessed": "Maximum hardly known", "other_machine": "Maximum from another machine",
    "load_jump": "Jump in load", "session_sets": "Many sets in one session",
    "techniques_too_long": "Advanced techniques for too long", "techniques_not_last": "Advanced techniques not last",
    "load_not_makeable": "Load that cannot be made", "drop_removed": "Drop left out",
}  # fmt: skip
# Codes of flags that mean the same evidence as another code.
ALIASES = {
    "techniques_too_long": "technique_weeks", "techniques_not_last": "techniques_share",
    "techniques_per_exercise": "technique_per_exercise", "techniques_sessions": "technique_sessions",
    "volume_new": "volume_jump", "unaccustomed_hard": "unaccustomed_volume", "maximum_old": "maximum_old_days",
    "open_last": "straight", "top_back_off": "straight", "wave": "straight", "ascending_pyramid": "straight",
    "quota": "straight", "light_to_heavy": "drop_set",
}  # fmt: skip


def flag_name(code: str) -> str:
    """A kind of flag in words."""
    return FLAG_NAMES.get(code, code.replace("_", " ").capitalize())


@cache
def scheme_codes() -> dict[str, str]:
    """Scheme kinds with their names, supersets among them."""
    found = {kind.kind: kind.name for kind in engine.SCHEMES.values() if kind.kind != "series"}
    return {**found, "superset": "Superset"}


@cache
def rule_codes() -> dict[str, str]:
    """Flags first, then house rules and the engine's other numbers, with their words."""
    names = (*rule_names(), *(constant.name for constant in engine.CONSTANTS))
    return {**FLAG_WORDS, **{name: words_for(name) for name in names if name not in FLAG_WORDS}}


def all_codes() -> dict[str, str]:
    """Everything a card may name."""
    return {**rule_codes(), **scheme_codes()}


def code_words(code: str) -> str:
    """A code in words; one that is no longer known as it is."""
    return all_codes().get(code, code.replace("_", " "))
