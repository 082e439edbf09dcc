"""A whole programme: every session prescribed, each week's totals, and the flags."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from .context import UNKNOWN, Context
from .errors import EngineError, instance, items
from .flag_care import care_flags
from .flag_dates import date_flags
from .flag_habit import habit_flags
from .flag_layoff import layoff_flags
from .flag_limits import limit_flags
from .flag_loads import load_flags
from .flag_maximum import maximum_flags
from .flag_recovery import recovery_flags
from .flag_reports import report_flags
from .flag_session import session_flags
from .flag_targets import target_flags
from .flag_techniques import technique_flags
from .flag_volume import Week, volume_flags
from .flags import SEVERITIES, Flag
from .lifts import lift_flags
from .plans import ClientTraits, Key, SessionPlan
from .prescribed import PrescribedSession
from .rules import DEFAULT, Rules
from .summary import SessionSummary, summary
from .volume import MuscleWeek, add_weeks

MOST_SESSIONS = 104 * 14


@dataclass(frozen=True)
class WeekTotals:
    """One week: sets per muscle, seconds of each session as (session key, seconds), fatigue not included."""

    week_no: int
    muscles: tuple[tuple[str, MuscleWeek], ...]
    seconds_by_session: tuple[tuple[Key, float], ...]

    @property
    def seconds(self) -> float:
        """Seconds of the whole week."""
        return sum(seconds for _, seconds in self.seconds_by_session)

    def muscle(self, code: str) -> MuscleWeek | None:
        """The week of one muscle, None when nothing trains it."""
        return dict(self.muscles).get(code)


@dataclass(frozen=True)
class PrescribedProgram:
    """Sessions in the order of their days, weeks that have sessions, flags with the gravest first."""

    sessions: tuple[PrescribedSession, ...]
    weeks: tuple[WeekTotals, ...]
    flags: tuple[Flag, ...]

    def session(self, key: Key) -> PrescribedSession | None:
        """The session of that key."""
        return next((session for session in self.sessions if session.key == key), None)

    def week(self, week_no: int) -> WeekTotals | None:
        """The totals of a week, None when it has no session."""
        return next((week for week in self.weeks if week.week_no == week_no), None)


def _summaries(sessions: Sequence[SessionPlan], client: ClientTraits, rules: Rules) -> list[SessionSummary]:
    instance("client", client, ClientTraits)
    instance("rules", rules, Rules)
    given = items("sessions", sessions, most=MOST_SESSIONS)
    for session in given:
        instance("session", session, SessionPlan)
    _check_keys(given)
    return [summary(session, client, rules) for session in sorted(given, key=lambda session: session.day)]


def _check_keys(sessions: tuple[SessionPlan, ...]) -> None:
    """Remedies point at keys, so a key must name one session and one planned exercise."""
    for name, keys in (
        ("session key", [session.key for session in sessions]),
        ("key of a planned exercise", [plan.key for session in sessions for plan in session.exercises]),
    ):
        if len(set(keys)) != len(keys):
            twice = next(key for key in keys if keys.count(key) > 1)
            raise EngineError(name, twice, "used once in the programme")


def _weeks(made: list[SessionSummary]) -> list[Week]:
    by_week: dict[int, list[SessionSummary]] = {}
    for one in made:
        by_week.setdefault(one.plan.week_no, []).append(one)
    return [(week_no, tuple(week), add_weeks(one.muscles for one in week)) for week_no, week in by_week.items()]


def prescribe_weeks(
    sessions: Sequence[SessionPlan], client: ClientTraits, rules: Rules = DEFAULT, context: Context = UNKNOWN
) -> PrescribedProgram:
    """Every session of a programme with weekly totals and flags; work on unchanged sessions is kept.

    Keys of sessions and of planned exercises must be unique in the programme. What `context` does not know
    raises no flag.
    """
    instance("context", context, Context)
    given = items("sessions", sessions, most=MOST_SESSIONS)
    made = _summaries(given, client, rules)
    weeks = _weeks(made)
    totals = tuple(
        WeekTotals(week_no, muscles, tuple((one.plan.key, one.prescribed.seconds) for one in week))
        for week_no, week, muscles in weeks
    )
    flags = _flags(made, weeks, client, rules, context)
    return PrescribedProgram(tuple(one.prescribed for one in made), totals, flags)


def find_flags(
    sessions: Sequence[SessionPlan], client: ClientTraits, rules: Rules = DEFAULT, context: Context = UNKNOWN
) -> tuple[Flag, ...]:
    """The flags of a programme, gravest first; each with at least one remedy that makes it go away.

    Kept: a roster asks for those of everybody, and few plans have changed since it last did.
    """
    instance("context", context, Context)
    given = items("sessions", sessions, most=MOST_SESSIONS)
    for session in given:
        instance("session", session, SessionPlan)
    return _found(given, instance("client", client, ClientTraits), instance("rules", rules, Rules), context)


@lru_cache(maxsize=512)
def _found(sessions: tuple[SessionPlan, ...], client: ClientTraits, rules: Rules, context: Context) -> tuple[Flag, ...]:
    made = _summaries(sessions, client, rules)
    return _flags(made, _weeks(made), client, rules, context)


def _flags(
    made: list[SessionSummary], weeks: list[Week], client: ClientTraits, rules: Rules, context: Context
) -> tuple[Flag, ...]:
    # what lies before this week cannot be changed any more; some finders still look back at it
    first = context.week_no if context.week_no is not None else 1
    now = [one for one in made if one.plan.week_no >= first]
    weeks = [week for week in weeks if week[0] >= first]
    found = limit_flags(now, client, rules) + recovery_flags(made, client, rules, context)
    found += volume_flags(weeks, client, rules) + load_flags(now, client, rules)
    found += session_flags(now, client, rules, context) + maximum_flags(now, client, rules, context)
    found += care_flags(now, client, rules, context) + layoff_flags(now, client, rules, context)
    found += target_flags(made, client, rules, context) + report_flags(made, client, rules, context)
    found += lift_flags(weeks, client, rules) + date_flags(made, client, rules, context)
    found += technique_flags(weeks, client, rules, context) + habit_flags(weeks, client, rules, context)
    return tuple(sorted(found, key=_gravity))


def _gravity(flag: Flag) -> tuple[int, int, str]:
    return (SEVERITIES.index(flag.severity), flag.where.week_no or 0, flag.code)
