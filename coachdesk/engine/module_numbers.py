"""Numbers that stand beside the arithmetic they belong to, told to the table of numbers with their basis."""

# Their values are read from the modules themselves, so the page cannot say anything else than what is computed.

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any

from .constants import HANDBOOK, MODEL, TRADE

_ROW = tuple[str, str, str, str, str, str, str]
# module, name in it, heading, words, unit, source, basis
_ROWS: tuple[_ROW, ...] = (
    ("fatigue", "_COST_OF_10RM", "recovery", "Cost of a fresh set to failure at 10RM, which makes one unit with its "
     "nearness to failure", "of 1RM", f"75 % of 1RM down to 75 / 105; {HANDBOOK}", "computed"),
    ("flag_care", "_NEAR_FAILURE", "care", "Bar over the body: near failure from", "RIR", TRADE, "trade"),
    ("flag_care", "_LIGHT_REPS", "care", "Easier to breathe: lighter sets of", "reps", TRADE, "trade"),
    ("flag_limits", "_AT_LIMIT", "care", "At the limit: fewer reps left than", "reps",
     f"a single at 97.5 % of 1RM by the chart; {HANDBOOK}", "computed"),
    ("flag_dates", "_REFERENCE", "recovery", "The days before a peak are measured against so many times as many days "
     "before them", "x", TRADE, "trade"),
    ("flag_session", "_SHORTEST_REST", "time", "Shortening a session takes rests down to", "s", TRADE, "trade"),
    ("shorter", "_REST_STEP", "time", "On the phone by steps of", "s", TRADE, "trade"),
    ("shorter_drops", "_DROP_PERCENT", "time", "On the phone a set with drops instead of straight sets drops by", "%",
     TRADE, "trade"),
    ("shorter_drops", "_MOST_DROPS", "time", "On the phone such a set has at most", "drops", TRADE, "trade"),
    ("flag_targets", "_WINDOW", "loads", "A jump in load is measured against the last", "days", TRADE, "trade"),
    ("flag_targets", "_EASY_RIR", "loads", "A jump that leaves this much in reserve is not flagged", "RIR", TRADE,
     "trade"),
    ("flag_reports", "_INFORMATIVE_RIR", "maxima", "An RIR answer says something from sets within", "RIR", TRADE,
     "trade"),
    ("habit", "LOOK_BACK", "bands", "The habit looks back over", "weeks", TRADE, "trade"),
    ("habit", "MOST_WEEKS", "bands", "and takes at most the last", "weeks", TRADE, "trade"),
    ("habit", "LEAST_WEEKS", "bands", "and needs at least", "weeks", TRADE, "trade"),
    ("predict_step", "_UNKNOWN_RIR", "loads", "Reserve taken where none is written", "RIR", TRADE, "trade"),
    ("scheme_edits", "_USUAL_REPS", "loads", "Reps written where a way out needs some", "reps", TRADE, "trade"),
    ("progress", "_STEPS", "progress", "Increase at a time, less and more, by training, area and unit",
     "thousandths", f"{HANDBOOK} (from memory)", "from memory"),
    ("scheme_shift", "_USUAL_RIR", "loads", "Reserve for another exercise where a fixed load is taken out", "RIR",
     TRADE, "trade"),
    ("scheme_shift", "_USUAL_DROP", "loads", "A fixed drop whose share cannot be told becomes", "%", TRADE,
     "trade"),
    ("scheme_shift", "_USUAL_RISE", "loads", "and a fixed rise", "%", TRADE, "trade"),
    ("substitutes", "_STEP", "other", "Stand-ins count as alike within so much of the muscles shared", "x", TRADE,
     "trade"),
    ("substitutes", "_STEPS", "other", "and above so many such steps", "steps", TRADE, "trade"),
    ("strength_filter", "_TREND_WEEKS", "maxima", "A trend fades over", "weeks", MODEL, "model"),
    ("strength_filter", "_FIRST_VARIANCE", "maxima", "Doubt of a first estimate, squared", "log", MODEL, "model"),
    ("strength_filter", "_FIRST_TREND_VARIANCE", "maxima", "Doubt of a first trend, squared", "log a week", MODEL,
     "model"),
    ("strength_filter", "_BOUND_VARIANCE", "maxima", "Doubt of a first estimate from a lower bound, squared", "log",
     MODEL, "model"),
    ("strength_filter", "_SURE", "maxima", "What even a tested single leaves open", "log", MODEL, "model"),
    ("strength_filter", "_CLIP", "maxima", "A set moves the estimate as if it were at most this far off", "SD", MODEL,
     "model"),
    ("strength_filter", "_CLIP_NOISE", "maxima", "Noise added before that is judged, squared", "log", MODEL, "model"),
    ("strength_filter", "_CLIP_TEST", "maxima", "A test moves the estimate by at most", "log", MODEL, "model"),
    ("strength_filter", "_NEAR_FAILURE", "maxima", "Sets teach repetition capacity within", "RIR", MODEL, "model"),
    ("strength_filter", "_ZONE_SETS", "maxima", "and from this many in each load zone", "sets", MODEL, "model"),
    ("strength_filter", "_MISS", "maxima", "Noise of a missed set is taken at this many times its reps", "x", MODEL,
     "model"),
    ("strength_change", "_WIDER", "maxima", "The doubt of a change is told wider than worked out", "x", MODEL, "model"),
    ("strength_change", "_ALMOST_CERTAIN", "maxima", "A change is called almost certain from", "of 1", MODEL, "model"),
    ("strength_change", "_PROBABLE", "maxima", "and probable from a chance of", "of 1", MODEL, "model"),
    ("strength_filter", "_AT_FAILURE", "maxima", "Error in judging the last rep", "reps", MODEL, "model"),
    ("learn_bias", "_DAYS", "maxima", "RIR answers are judged by sets to failure within", "days", MODEL, "model"),
    ("learn_bias", "_LOADS_ALIKE", "maxima", "and within this much of their load", "log", MODEL, "model"),
    ("learn_bias", "_PAIR_SD", "maxima", "What one set to failure says of RIR answers is off by", "reps", MODEL,
     "model"),
    ("learn_recovery", "_MOST_SESSIONS", "within", "Own recovery is learned from the newest", "sessions", MODEL,
     "model"),
    ("ramp", "_RISE", "maxima", "A test of a maximum rises from step to step by", "of the load", HANDBOOK,
     "published"),
    ("ramp", "_BACK", "maxima", "and after a missed attempt goes back by", "of the load", HANDBOOK,
     "published"),
    ("ramp", "_REPS", "maxima", "Reps of the steps of a test", "reps", HANDBOOK, "published"),
    ("ramp", "_EASY_RIR", "maxima", "The light first step of a test leaves at least", "RIR", TRADE, "trade"),
    ("ramp", "_RESTS", "maxima", "Rests after the steps of a test", "s", HANDBOOK, "published"),
    ("reps_range", "_FRESH", "within", "Counts as fresh from this much strength left", "of 1RM", MODEL, "model"),
    ("session_load", "_LEAST", "time", "Minutes taken for minutes planned are believed from", "x", MODEL, "model"),
    ("session_load", "_MOST", "time", "and up to", "x", MODEL, "model"),
    ("volume", "_TOLERANCE", "counting", "Reps and reserve may miss a counting rule by", "reps", MODEL, "model"),
)  # fmt: skip


@dataclass(frozen=True)
class ModuleNumber:
    """One such number; `value` as text."""

    module: str
    name: str
    group: str
    words: str
    value: str
    unit: str
    source: str
    basis: str


@cache
def module_numbers() -> tuple[ModuleNumber, ...]:
    """All of them with their present values, in the order of the list; one that is no longer there is left out."""
    found = []
    for module, name, group, words, unit, source, basis in _ROWS:
        value = getattr(import_module(f".{module}", __package__), name, None)
        if value is not None:
            found.append(ModuleNumber(module, name, group, words, _text(value), unit, source, basis))
    return tuple(found)


def declared() -> frozenset[tuple[str, str]]:
    """(module, name) of every row."""
    return frozenset((module, name) for module, name, *_ in _ROWS)


def _text(value: Any) -> str:
    if isinstance(value, dict):
        return "; ".join(f"{_key(key)}: {_text(one)}" for key, one in value.items())
    if isinstance(value, (tuple, list)):
        return ", ".join(_text(one) for one in value)
    return f"{value:g}" if isinstance(value, (int, float)) else str(value)


def _key(key: Any) -> str:
    parts = key if isinstance(key, tuple) else (key,)
    return " ".join({True: "trained", False: "less trained"}.get(part, str(part)) for part in parts)
