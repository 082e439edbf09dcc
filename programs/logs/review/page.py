"""The page 'What to change next week' of one client: proposals, and what one of their ways out would do."""

import hashlib
from dataclasses import dataclass
from datetime import date, timedelta

from clients.models import Client
from coachdesk import engine
from coachdesk.engine.review import ATTENDANCE, WEEKS, Review, next_week
from coachdesk.practice.models import Act
from coachdesk.practice.tape import next_undo
from coachdesk.templatetags.desk import day_year
from programs.logs.review.reading import RECENT_DAYS, review_of
from programs.logs.trends.reading import gather
from programs.logs.trends.window import window_of
from programs.models import FlagDecision, Program
from programs.selectors import ProgramView, program_view
from programs.selectors.editor import ShownFlag, shown_flags
from programs.services import subject_of

CODES = ("overreached", "sessions_missed", "under_done", "stalled")


@dataclass(frozen=True)
class Line:
    """One thing that would be written: where, how it stands now, and how it would."""

    where: str
    now: str
    then: str


@dataclass(frozen=True)
class Effect:
    """A number of next week before and after: sets of a muscle, or minutes of a session."""

    name: str
    now: float
    then: float


@dataclass(frozen=True)
class Preview:
    """What a way out would write and do; `digest` is alike only while it would write the same."""

    flag: engine.Flag
    index: int
    label: str
    lines: tuple[Line, ...]
    sets: tuple[Effect, ...]
    minutes: tuple[Effect, ...]
    digest: str


@dataclass(frozen=True)
class NextWeek:
    """Everything on the page; without a running programme there is nothing to change.

    `looked_at`: what was looked at and what there was to see of it, in words, for a page without a proposal.
    """

    client: Client
    program: Program | None
    week_no: int
    monday: date | None
    flags: list[ShownFlag]
    decided: list[FlagDecision]
    preview: Preview | None
    undo: Act | None
    looked_at: str = ""

    @property
    def has_next(self) -> bool:
        """Whether anything is planned for next week."""
        return self.monday is not None


def next_week_page(client: Client, *, today: date, flag: str = "", remedy: int | None = None) -> NextWeek:
    """The page of a day, with the preview of a flag's remedy where there is such a one; at most ten queries."""
    window = window_of(today)
    got = gather(client, window)
    if got.program is None:
        return NextWeek(client, None, 0, None, [], [], None, None)
    view = program_view(got.program, client=client, on=today)
    review = review_of(client, view, got, window)
    found = [one for one in next_week(review, view.rules) if one.id not in view.dismissed]
    chosen = next((one for one in found if one.id == flag), None)
    known = chosen is not None and remedy is not None and 0 <= remedy < len(chosen.remedies)
    week = view.week(review.week_no)
    return NextWeek(
        client, got.program, review.week_no, week.monday if week and any(week.days) else None,
        shown_flags(view, found), [one for one in view.dismissed.values() if one.code in CODES],
        preview_of(view, chosen, remedy) if known and chosen and remedy is not None else None,
        next_undo(got.program.practice, subject_of(got.program)), looked_at(review),
    )  # fmt: skip


def looked_at(review: Review) -> str:
    """'No lift stands still ..., enough of the sessions took place, and no muscle ...'; what is not known is named."""
    done, due = review.attendance
    weeks = "1 week that is over has" if len(review.weeks) == 1 else f"{len(review.weeks)} weeks that are over have"
    lifts = "No lift stands still or falls without an answer" if review.lifts else (
        f"No lift was logged in the last {RECENT_DAYS} days"
    )  # fmt: skip
    sessions = "enough of the sessions took place" if due and done >= ATTENDANCE * due else (
        f"{done} of {due} sessions took place"
    )  # fmt: skip
    if len(review.weeks) < WEEKS:
        sessions = f"{weeks} planned sessions, too few to say whether enough of them take place"
    muscles = f"no muscle marked to grow stayed below its band for {WEEKS} weeks" if review.muscles else (
        "no muscle with a band is marked to grow"
    )  # fmt: skip
    return f"{lifts}, {sessions}, and {muscles}."


def preview_of(view: ProgramView, flag: engine.Flag, index: int) -> Preview:
    """What remedy `index` would write, and sets and minutes of next week before and after; no queries."""
    remedy, week_no = flag.remedies[index], flag.where.week_no or 1
    plans, _ = engine.apply_edits(view.plans, view.traits, remedy.edits)
    after = engine.prescribe_weeks(plans, view.traits, view.rules, engine.UNKNOWN)
    before = engine.prescribe_weeks(view.plans, view.traits, view.rules, engine.UNKNOWN)
    old, new = before.week(week_no), after.week(week_no)
    return Preview(
        flag, index, remedy.label, tuple(_line(view, edit) for edit in remedy.edits), _sets(old, new),
        _minutes(view, old, new), _digest(remedy),
    )  # fmt: skip


def _digest(remedy: engine.Remedy) -> str:
    return hashlib.sha256(repr((remedy.label, remedy.edits)).encode()).hexdigest()[:32]


def _line(view: ProgramView, edit: engine.Edit) -> Line:
    if edit.target == "date" and isinstance(edit.value, int) and view.program.start_on:
        return Line(
            "Calendar", "no test planned", f"test on {day_year(view.program.start_on + timedelta(days=edit.value))}"
        )
    sessions = [one for week in view.weeks for day in week.days for one in day]
    if edit.target == "session":
        found = next(one for one in sessions if one.row.pk == edit.key)
        return Line(f"Week {found.row.week_no}, {found.day_name} {found.row.name}", "planned", "taken out")
    session, row = next((s, e) for s in sessions for e in s.exercises if e.row.pk == edit.key)
    where = f"Week {session.row.week_no}, {session.day_name}, {row.row.exercise.name}"
    then = edit.value if isinstance(edit.value, engine.Scheme) else row.scheme
    return Line(where, _words(row.scheme), _words(then))


def _words(scheme: engine.Scheme) -> str:
    words = engine.scheme_words(scheme)
    return words if "rest" in words else f"{words}, rest {engine.rest_words(scheme.rest_s)}"


def _sets(old: engine.WeekTotals | None, new: engine.WeekTotals | None) -> tuple[Effect, ...]:
    was = {code: one.fractional for code, one in old.muscles} if old else {}
    now = {code: one.fractional for code, one in new.muscles} if new else {}
    changed = [m for m in engine.MUSCLES if abs(was.get(m.code, 0) - now.get(m.code, 0)) > 1e-6]
    return tuple(Effect(m.name, was.get(m.code, 0.0), now.get(m.code, 0.0)) for m in changed)


def _minutes(view: ProgramView, old: engine.WeekTotals | None, new: engine.WeekTotals | None) -> tuple[Effect, ...]:
    now = dict(new.seconds_by_session) if new else {}
    made = []
    for key, seconds in old.seconds_by_session if old else ():
        session = view.session(key) if isinstance(key, int) else None
        if session is not None and round(seconds / 60) != round(now.get(key, 0.0) / 60):
            name = f"{session.day_name} {session.row.name}"
            made.append(Effect(name, round(seconds / 60), round(now.get(key, 0.0) / 60)))
    return tuple(made)
