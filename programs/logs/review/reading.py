"""From a client's weeks, estimates and programme to what the engine reviews."""

from collections import Counter
from datetime import date, timedelta

from clients.models import Client
from coachdesk.engine.review import LiftDone, MuscleDone, PlannedLift, Review, WeekDone
from programs.logs.bands import band_of
from programs.logs.selectors.trends import evidence_name
from programs.logs.trends.reading import Gathered
from programs.logs.trends.sessions import session_weeks
from programs.logs.trends.window import Window
from programs.selectors import ProgramView, SessionView, WeekView
from programs.selectors.programs import this_week

WEEKS = 3
# An estimate that rests on older evidence says nothing of how the lift goes now.
RECENT_DAYS = 21
SATURDAY = 5


def review_of(client: Client, view: ProgramView, got: Gathered, window: Window) -> Review:
    """The review of a programme with dates on the window's day."""
    week = this_week(view.program, window.today)
    over = [monday for monday in window.mondays[-WEEKS - 1 : -1] if not _is_away(monday, got)]
    done = {one.monday: one for one in session_weeks(got, window)}
    weeks = tuple(WeekDone(done[monday].due, done[monday].done) for monday in over if done[monday].due)
    coming = _lifts(view, week + 1)
    return Review(
        max(1, week + 1), _lifts(view, week), coming, _done(view, got, window.today), _muscles(view, got, over, week),
        weeks, tuple(one for n in range(week + 2, len(view.weeks) + 1) for one in _lifts(view, n)), got.tested,
        _test_day(view, week + 1), _missed(view, got, over, week + 1),
    )  # fmt: skip


def _is_away(monday: date, got: Gathered) -> bool:
    return any(one.first <= monday + timedelta(days=6) and one.last >= monday for one in got.away)


def _sessions(week: WeekView | None) -> list[SessionView]:
    return [one for day in week.days for one in day] if week else []


def _lifts(view: ProgramView, week_no: int) -> tuple[PlannedLift, ...]:
    return tuple(
        PlannedLift(
            one.row.pk, week_no, one.row.exercise_id, one.row.exercise.name, one.scheme,
            tuple(code for code, share in one.prescribed.exercise.muscles if share >= 1),
        )
        for session in _sessions(view.week(week_no))
        for one in session.exercises
    )  # fmt: skip


def _done(view: ProgramView, got: Gathered, today: date) -> tuple[LiftDone, ...]:
    """What the estimates say of exercises that were done lately; of several sides or machines the one seen most."""
    weeks = dict(view.context.exposures or ())
    found: dict[int, LiftDone] = {}
    for one in sorted(got.estimates, key=lambda row: row.count):
        if (today - one.last_on).days <= RECENT_DAYS:
            found[one.exercise_id] = LiftDone(
                one.exercise_id, evidence_name(one, got.machines), one.p_rising, one.percent_a_week, one.count,
                weeks.get(one.exercise_id, 0),
            )  # fmt: skip
    return tuple(found.values())


def _muscles(view: ProgramView, got: Gathered, over: list[date], week: int) -> tuple[MuscleDone, ...]:
    """Muscles marked to grow that have a band."""
    high = {(row.monday, row.muscle): row.sets_high / 1000 for row in got.muscle_weeks}
    made = []
    for code, aim in view.traits.marks:
        band = band_of(view.traits, code, view.rules) if aim == "grow" else None
        if band is not None:
            done = tuple(high.get((monday, code), 0.0) for monday in over)
            made.append(MuscleDone(code, band[0], done, _planned(view, code, week), _planned(view, code, week + 1)))
    return tuple(made)


def _planned(view: ProgramView, code: str, week_no: int) -> float:
    week = view.week(week_no)
    total = week.totals.muscle(code) if week and week.totals else None
    return total.fractional if total else 0.0


def _test_day(view: ProgramView, week_no: int) -> int | None:
    """The Saturday of next week: the days before a test are for work that was planned."""
    return None if view.week(week_no) is None else 7 * (week_no - 1) + SATURDAY


def _missed(view: ProgramView, got: Gathered, over: list[date], week_no: int) -> tuple[tuple[int, str, int], ...]:
    """Next week's sessions by how often the one of that weekday and name was missed or skipped in these weeks."""
    done = {row.planned for row in got.logs if row.is_done}
    gone = Counter(
        (one.row.day, one.row.name)
        for week in view.weeks
        if week.monday in over
        for one in _sessions(week)
        if one.row.pk not in done
    )
    return tuple(
        (one.row.pk, f"{one.row.name} ({one.day_name})", gone[(one.row.day, one.row.name)])
        for one in _sessions(view.week(week_no))
    )
