"""Who needs the coach first: a score from plain facts about one client, with its reasons in words."""

# The score is the sum of the weights of what is found; each weight is a house rule, because nothing published says how
# a coach should rank people: they only order a list, and the reasons stand beside it.
#
# - `need_stop` for each stop, `need_stop_coming` for each that only next week's sessions meet;
# - `need_no_program` when no programme is running or coming;
# - `need_message` when a message is not answered, however many;
# - `need_plan_left` when sessions were logged from a sheet that the plan had left, however many;
# - `need_falling` when strength falls and `need_stalled` when it does not rise, each once however many exercises;
# - `need_pain` when pain asks for something that is no stop already;
# - `need_missed` for each missed session of the last 14 days, at most `need_missed_most` counted;
# - `need_unrecovered` when a muscle starts a session unrecovered, however many;
# - `need_check` for each other check, `need_note` for each note, at most `need_flags_most` of either counted;
# - `need_ending_week` when the programme ends within 7 days, `need_ending` within 14;
# - `need_old_maximum` and `need_no_maximum`, each once;
# - `need_silent` when nothing was logged for more than `need_silent_days` days and sessions were planned.

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import NamedTuple

from .rules import DEFAULT, Rules

_WEEK, _FORTNIGHT = 7, 14
# Kinds of flags, and exercises or muscles, that a reason names before it counts the rest.
_MOST_KINDS, _MOST_NAMES = 4, 3
_Say = Callable[[tuple[str, ...]], str]


@dataclass(frozen=True)
class NeedFacts:
    """What is known of one client on a day: flags as sentences, exercises and muscles as names, days as counts.

    `checks`: the sentence where there is one, else the kind of each, as `notes` always are: a row has no room for more.
    `ends_in`: days until the programme's last planned week is over; `silent_days`: since anything was logged.
    """

    stops: tuple[str, ...] = ()
    coming_stops: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    pain: tuple[str, ...] = ()
    unrecovered: tuple[str, ...] = ()
    old_maximum: tuple[str, ...] = ()
    no_maximum: int = 0
    falling: tuple[str, ...] = ()
    stalled: tuple[str, ...] = ()
    missed: int = 0
    planned: int = 0
    has_program: bool = True
    ends_in: int | None = None
    silent_days: int | None = None
    messages: int = 0
    plan_left: int = 0


class Trend(NamedTuple):
    """An exercise, the chance that its maximum rises, and how many sets and tests that stands on."""

    name: str
    chance: float
    seen: int


@dataclass(frozen=True)
class Reason:
    """One reason: what it adds to the score, in words, and the house rule that says so."""

    points: float
    words: str
    rule: str


@dataclass(frozen=True)
class Need:
    """A score (more is more urgent) and its reasons, weightiest first."""

    score: float
    reasons: tuple[Reason, ...]

    @property
    def words(self) -> str:
        """One line: a reason may be a sentence of its own, so its full stop is left out."""
        return "; ".join(reason.words.rstrip(".") for reason in self.reasons) if self.reasons else "Nothing open"


def need_of(facts: NeedFacts, rules: Rules = DEFAULT) -> Need:
    """The client's need: the sum of the weights, and the reasons by weight, ties in the order listed.

    A reason whose weight is 0 is left out: the coach does not want to hear of it here.
    """
    found = [*_flags(facts, rules), *_ending(facts, rules), *_training(facts, rules), *_maxima(facts, rules)]
    reasons = sorted((one for one in found if one.points > 0), key=lambda one: -one.points)
    return Need(round(sum(one.points for one in reasons), 3), tuple(reasons))


def facts_of_trends(trends: Iterable[Trend], rules: Rules = DEFAULT) -> dict[str, tuple[str, ...]]:
    """`falling` and `stalled` of NeedFacts: exercises whose maximum falls, and those where it does not rise."""
    told = [one for one in trends if one.seen >= rules.need_trend_sets]
    falling = dict.fromkeys(one.name for one in told if one.chance < rules.need_falling_chance)
    stalled = dict.fromkeys(one.name for one in told if one.chance < rules.need_stalled_chance)
    return {"falling": tuple(falling), "stalled": tuple(name for name in stalled if name not in falling)}


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def _first(found: tuple[str, ...]) -> str:
    """What the first flag says in its first sentence: the row of a list has room for no more."""
    whole = found[0] if found else ""
    end = whole.find(". ")
    return (whole if end < 0 else whole[:end]).rstrip(".")


def _names(found: tuple[str, ...]) -> str:
    more = len(found) - _MOST_NAMES
    return ", ".join(found[:_MOST_NAMES]) + (f" and {more} more" if more > 0 else "")


def _told(found: tuple[str, ...]) -> str:
    """The only one by its first sentence; several by their kinds."""
    return _first(found) if len(found) < 2 else _kinds(found)


def _kinds(found: tuple[str, ...]) -> str:
    """Each kind once with its number, the most frequent first."""
    kinds = Counter(one[:1].lower() + one[1:] for one in found)
    shown = [f"{kind} ({number})" if number > 1 else kind for kind, number in kinds.most_common(_MOST_KINDS)]
    more = len(kinds) - len(shown)
    return ", ".join(shown) + (f" and {_count(more, 'other kind')}" if more else "")


def _many(rule: str, rules: Rules, count: int, words: str, most: float | None = None) -> list[Reason]:
    """As many times the weight as there are, up to `most`; nothing for none."""
    times = count if most is None else min(count, most)
    return [Reason(getattr(rules, rule) * times, words, rule)] if count else []


def _once(rule: str, rules: Rules, found: object, words: str) -> list[Reason]:
    return [Reason(getattr(rules, rule), words, rule)] if found else []


def _flags(facts: NeedFacts, rules: Rules) -> list[Reason]:
    most = rules.need_flags_most
    rows: tuple[tuple[str, tuple[str, ...], str, str, _Say, float | None], ...] = (
        ("need_stop", facts.stops, "stop", "", _first, None),
        ("need_stop_coming", facts.coming_stops, "stop", " next week", _first, None),
        ("need_check", facts.checks, "check", "", _told, most),
        ("need_note", facts.notes, "note", "", _kinds, most),
    )
    return [
        reason
        for rule, found, kind, when, say, cap in rows
        for reason in _many(rule, rules, len(found), f"{_count(len(found), kind)}{when}: {say(found)}", cap)
    ]


def _ending(facts: NeedFacts, rules: Rules) -> list[Reason]:
    if not facts.has_program:
        return [Reason(rules.need_no_program, "No programme is running", "need_no_program")]
    if facts.ends_in is None or facts.ends_in > _FORTNIGHT:
        return []
    rule = "need_ending_week" if facts.ends_in <= _WEEK else "need_ending"
    days = "today" if facts.ends_in <= 0 else f"in {_count(facts.ends_in, 'day')}"
    return [Reason(getattr(rules, rule), f"Programme ends {days}", rule)]


def _training(facts: NeedFacts, rules: Rules) -> list[Reason]:
    missed = f"Missed {facts.missed} of {_count(facts.planned, 'session')} in 14 days"
    left = f"{_count(facts.plan_left, 'session')} logged from a sheet that the plan has left"
    silent = facts.planned and facts.silent_days is not None and facts.silent_days > rules.need_silent_days
    return [
        *_once("need_message", rules, facts.messages, f"{_count(facts.messages, 'message')} not answered"),
        *_once("need_pain", rules, facts.pain, _first(facts.pain)),
        *_once("need_plan_left", rules, facts.plan_left, left),
        *_many("need_missed", rules, facts.missed, missed, rules.need_missed_most),
        *_once("need_unrecovered", rules, facts.unrecovered, f"Not recovered: {_names(facts.unrecovered)}"),
        *_once("need_silent", rules, silent, f"Nothing logged for {facts.silent_days} days"),
    ]


def _maxima(facts: NeedFacts, rules: Rules) -> list[Reason]:
    unknown = f"No maximum known for {_count(facts.no_maximum, 'exercise')}"
    return [
        *_once("need_falling", rules, facts.falling, f"Strength falling: {_names(facts.falling)}"),
        *_once("need_stalled", rules, facts.stalled, f"Strength not rising: {_names(facts.stalled)}"),
        *_once("need_old_maximum", rules, facts.old_maximum, f"Old maximum: {_names(facts.old_maximum)}"),
        *_once("need_no_maximum", rules, facts.no_maximum, unknown),
    ]
