"""The pictures beside the editor: a profile for each row, sets over the weeks, one muscle's fatigue over days."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString

from coachdesk import engine
from programs.figures import fatigue_days, profile_svg, set_profile, week_table
from programs.selectors.prescription import ProgramView, SessionView, WeekView

# The shown week and the one after it; what came up to two weeks before still counts.
DAYS, LOOK_BACK_DAYS = 14, 14


@dataclass(frozen=True)
class FatigueDay:
    """One line of the table under the picture: the day, units at noon before its session, and the session."""

    words: str
    units: float
    session: str


@dataclass(frozen=True)
class Fatigue:
    """One muscle over days: the picture, its sentence, its numbers, and the muscles to choose from."""

    code: str
    name: str
    svg: SafeString
    sentence: str
    days: tuple[FatigueDay, ...]
    choices: tuple[tuple[str, str], ...]


def profiles(session: SessionView | None, rules: engine.Rules) -> dict[int, SafeString]:
    """The small profile of each exercise of a session by planned exercise, all on one scale."""
    if session is None:
        return {}
    bouts = {e.row.pk: set_profile.bouts_of(e.prescribed, rules) for e in session.exercises}
    scale = profile_svg.small_scale(tuple(bouts.values()))
    return {pk: profile_svg.small_svg(one, px_per_s=scale) for pk, one in bouts.items()}


def sheet_profiles(body: Mapping[str, Any]) -> dict[int, SafeString]:
    """The small profile of the lifts of an issued sheet whose loads differ from step to step, by position.

    Alike sets need no picture on paper, and a lift whose loads are not known has none to show.
    """
    lifts = {lift["position"]: sheet_bouts(lift["steps"]) for lift in body["exercises"]}
    drawn = {position: bouts for position, bouts in lifts.items() if _differ(bouts)}
    scale = profile_svg.small_scale(tuple(drawn.values()))
    return {position: profile_svg.small_svg(bouts, px_per_s=scale) for position, bouts in drawn.items()}


def _differ(bouts: Sequence[set_profile.Bout]) -> bool:
    loads = {bout.fraction for bout in bouts}
    return None not in loads and len(loads) > 1


def sheet_bouts(steps: Sequence[Mapping[str, Any]]) -> tuple[set_profile.Bout, ...]:
    if any("seconds" not in step for step in steps):
        return ()
    return tuple(
        set_profile.Bout(
            s["set"], s["step"], s["side"], s["fraction"], s["seconds"], s["rest_s"] if i < len(steps) - 1 else 0.0,
            0.0, s["strength_before"], s["strength_after"],
        )
        for i, s in enumerate(steps)
    )  # fmt: skip


def weeks_picture(view: ProgramView, shown: WeekView | None, query: str = "") -> SafeString | None:
    """The week table of the whole programme; None before anything is planned. `query` is added to week addresses."""
    totals = [week.totals for week in view.weeks]
    codes = {code for week in totals if week for code, _ in week.muscles}
    bands: dict[str, week_table.Band | None] = {}
    for code in codes if view.client else ():
        found = engine.band_for(view.traits, code, view.rules)
        bands[code] = found[0] if found else None
    grow = [code for code, aim in view.traits.marks if aim == "grow"]
    rows = week_table.rows_of(totals, bands, grow=grow)
    if not rows:
        return None
    headings = [
        week_table.Heading(
            f"Week {week.week_no}", f"{week.monday:%a} {week.monday.day} {week.monday:%b}" if week.monday else "",
            f"?week={week.week_no}{query}", week is shown,
        )
        for week in view.weeks
    ]  # fmt: skip
    return week_table.week_table(rows, headings, "Planned fractional sets per muscle, week by week")


def _worst(view: ProgramView, week: WeekView) -> str | None:
    """The muscle of a flag on sessions too close in this week, else the one with the most fatigue units in it."""
    for flag in view.open_flags(week.week_no):
        if flag.code == "sessions_too_close" and flag.where.muscle:
            return flag.where.muscle
    units: dict[str, float] = {}
    for session in (s for day in week.days for s in day):
        for code, work in engine.muscle_sessions(session.prescribed):
            units[code] = units.get(code, 0.0) + work.units
    return max(units, key=lambda code: units[code], default=None)


def fatigue_picture(view: ProgramView, week: WeekView | None, wanted: str = "") -> Fatigue | None:
    """`wanted` muscle, or the worst of the shown week, over that week and the next; None when nothing is planned."""
    if week is None:
        return None
    worst = _worst(view, week)
    if worst is None:
        return None
    trained = [m for m in engine.MUSCLES if any(w.totals and w.totals.muscle(m.code) for w in view.weeks)]
    code = wanted if any(m.code == wanted for m in trained) else worst
    first = 7 * (week.week_no - 1)
    works = _works(view, code, first)
    name, start = engine.muscle(code).name, view.program.start_on
    limit = engine.hard_from(view.traits, view.rules)
    noon = fatigue_days.noon_units(works, first, DAYS)
    by_day = {work.day: f"{work.name}, {work.units:.1f} units" for work in works}
    days = tuple(
        FatigueDay(fatigue_days.day_words(start, first, first + n), units, by_day.get(first + n, ""))
        for n, units in enumerate(noon)
    )
    svg = fatigue_days.fatigue_svg(works, name, first_day=first, days=DAYS, start=start, limit=limit)
    said = fatigue_days.sentence_of(works, name, first, DAYS, start, limit)
    return Fatigue(code, name, svg, said, days, tuple((m.code, m.name) for m in trained))


def _works(view: ProgramView, code: str, first: int) -> tuple[fatigue_days.Work, ...]:
    """What sessions near these days do to a muscle, in order."""
    made = (work_of(session, code, view.traits, view.rules) for session in _near(view, first))
    return tuple(work for work in made if work is not None)


def work_of(
    session: engine.PrescribedSession, code: str, traits: engine.ClientTraits, rules: engine.Rules
) -> fatigue_days.Work | None:
    """What a session does to a muscle; None when it does not train it."""
    work = dict(engine.muscle_sessions(session)).get(code)
    if work is None or not work.units:
        return None
    return fatigue_days.Work(
        session.day, session.name, work.units, fatigue_days.impulses_of(session, code, traits, rules),
        work.units >= engine.hard_from(traits, rules), engine.needed_days(work.failure_sets, traits, rules),
    )  # fmt: skip


def _near(view: ProgramView, first: int) -> Sequence[engine.PrescribedSession]:
    sessions = (s.prescribed for w in view.weeks for day in w.days for s in day)
    return [s for s in sessions if first - LOOK_BACK_DAYS <= s.day < first + DAYS]
