"""What a programme prescribes for one client: rows beside the engine's answer, week by week."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from clients.mapping import house_rules
from clients.models import Client, Place
from coachdesk import engine
from programs.mapping import Here, Kits, Known, exercise_traits, exercises_in, scheme_of, session_plan
from programs.models import Block, FlagDecision, PlannedExercise, PlannedSession, Program
from programs.selectors.context import context_for, known_of, traits_of
from programs.selectors.pain import logged_flags
from programs.selectors.program_facts import ProgramFacts, program_facts
from programs.selectors.programs import this_week, weeks_of
from programs.words import effort_words, load_words

# Without a client nothing is known of screening or maxima; saying so on every row of a template is noise.
NEEDS_CLIENT = {
    "maximum_unknown", "screening_missing", "clearance_expired", "load_not_makeable", "drop_removed",
    "failure_for_untrained", "sets_below_band",
}  # fmt: skip
# A programme of more planned exercises than this is worked out near the week that is looked at only: beyond, opening
# it would take longer than anybody waits. Twelve weeks of five sessions of seven exercises are 420.
MOST_AT_ONCE = 1500
WEEKS_BEFORE, WEEKS_AFTER = 2, 1
# Planned exercise -> the values it would have: `scheme` as JSON, `exercise` with its muscles, `cue`.
Changed = Mapping[int, Mapping[str, Any]]
NOBODY = engine.ClientTraits(level="intermediate", age=None, goal="size", screening="ok")


def in_week(flag: engine.Flag, week_no: int) -> bool:
    """Whether a flag concerns this week; one that names no week concerns every week."""
    return week_no in (flag.weeks or (flag.where.week_no or week_no,))


@dataclass(frozen=True)
class ExerciseView:
    """A planned exercise, its flat fields for editing, and what the engine makes of it."""

    row: PlannedExercise
    prescribed: engine.PrescribedExercise
    # Of equipment without units: its settings, easiest first.
    settings: tuple[str, ...] = ()

    @property
    def scheme(self) -> engine.Scheme:
        return scheme_of(self.row)

    @property
    def words(self) -> str:
        return engine.scheme_words(self.scheme)

    @property
    def loads(self) -> str:
        return load_words(self.prescribed.sets)

    @property
    def effort(self) -> str:
        return effort_words(self.prescribed.sets)

    @property
    def setup(self) -> str:
        """What to put on; of equipment without units the settings, in words: 'medium', or 'medium, strong'."""
        if self.settings:
            return ", ".join(dict.fromkeys(step.setup for step in self.steps if step.setup))
        return next((step.setup for step in self.steps if step.load is not None), "")

    @property
    def steps(self) -> list[engine.PrescribedStep]:
        return [step for one in self.prescribed.sets for step in one]


@dataclass(frozen=True)
class SessionView:
    """A planned session with its exercises; `on` is None in a template."""

    row: PlannedSession
    prescribed: engine.PrescribedSession
    exercises: tuple[ExerciseView, ...]
    on: date | None
    severities: tuple[str, ...] = ()
    is_worked_out: bool = True

    @property
    def day_name(self) -> str:
        return ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")[self.row.day]

    @property
    def severity(self) -> str:
        """The worst of the session's open flags, or nothing."""
        return next((s for s in ("stop", "check", "note") if s in self.severities), "")

    @property
    def whole_minutes(self) -> int:
        return round(self.seconds / 60)

    @property
    def seconds(self) -> float:
        return self.prescribed.seconds

    @property
    def set_count(self) -> int:
        if not self.is_worked_out:
            return sum(engine.set_count(scheme_of(row)) for row in exercises_in(self.row))
        return sum(len(e.prescribed.sets) for e in self.exercises)


@dataclass(frozen=True)
class WeekView:
    """One week: its Monday (None in a template), seven lists of sessions, and sets per muscle."""

    week_no: int
    monday: date | None
    days: tuple[tuple[SessionView, ...], ...]
    totals: engine.WeekTotals | None


@dataclass(frozen=True)
class ProgramView:
    """Everything the editor shows of one programme for one client (or for nobody)."""

    program: Program
    client: Client | None
    blocks: tuple[Block, ...]
    weeks: tuple[WeekView, ...]
    flags: tuple[engine.Flag, ...]
    traits: engine.ClientTraits
    dismissed: dict[str, FlagDecision] = field(default_factory=dict)
    rules: engine.Rules = engine.DEFAULT
    context: engine.Context = engine.UNKNOWN
    # First and last week that are worked out, where the programme is too long for all of it.
    part: tuple[int, int] | None = None
    plans: tuple[engine.SessionPlan, ...] = ()

    @property
    def part_words(self) -> str:
        """What is left out of a long programme, or nothing."""
        if self.part is None:
            return ""
        count = sum(len(exercises_in(s.row)) for w in self.weeks for day in w.days for s in day)
        first, last = self.part
        weeks = f"weeks {first} to {last}" if last > first else f"week {first}"
        return (
            f"This programme plans {count:,} exercises. Loads, minutes, sets per muscle and flags are worked out for "
            f"{weeks}, around the week shown; open another week to see its own."
        )

    def week(self, week_no: int) -> WeekView | None:
        return self.weeks[week_no - 1] if 0 < week_no <= len(self.weeks) else None

    @property
    def calendar_days(self) -> list[tuple[str, date]]:
        """(words, day) of tests, peaks and first days away inside the programme, for its head; none in a template."""
        start, told = self.context.start_on, self.context
        if start is None:
            return []
        days = [(one.name, one.day) for one in told.targets] + [("Away from", first) for first, _ in told.away]
        inside = sorted((day, words) for words, day in days if 0 <= day < 7 * len(self.weeks))
        return [(words, start + timedelta(days=day)) for day, words in inside]

    @property
    def week_marks(self) -> dict[int, list[str]]:
        """What a week's head says of the calendar, by week number: tests, peaks, weeks away."""
        made = {week: ["away"] for week in self.context.away_weeks}
        for one in self.context.targets:
            made.setdefault(one.day // 7 + 1, []).append(one.name)
        return made

    def session(self, pk: int) -> SessionView | None:
        return next((s for w in self.weeks for day in w.days for s in day if s.row.pk == pk), None)

    def exercise(self, pk: int) -> ExerciseView | None:
        return next((e for w in self.weeks for d in w.days for s in d for e in s.exercises if e.row.pk == pk), None)

    def open_flags(self, week_no: int | None = None) -> list[engine.Flag]:
        """Flags nobody set aside, of one week or of all."""
        return [f for f in self.flags if f.id not in self.dismissed and (week_no is None or in_week(f, week_no))]


def _in_order(session: PlannedSession) -> list[PlannedExercise]:
    return sorted(exercises_in(session), key=lambda e: (e.position, e.pk))


def session_plans(
    sessions: Iterable[PlannedSession], client: Client | None, known: Known, kits: Kits,
    traits: dict[int, engine.ExerciseTraits] | None = None,
) -> tuple[engine.SessionPlan, ...]:  # fmt: skip
    """The engine's plans of these sessions (exercises and muscles prefetched) with what is known of the client.

    `traits` remembers exercises that several clients share.
    """
    traits = {} if traits is None else traits
    here: dict[int | None, Here] = {}
    plans = []
    for session in sessions:
        exercises = _in_order(session)
        for one in exercises:
            if one.exercise_id not in traits:
                traits[one.exercise_id] = exercise_traits(one.exercise)
        place = session.place or (client.place if client else None)
        key = place.pk if place else None
        if key not in here:
            here[key] = known.at(place)
        plans.append(session_plan(session, exercises, traits=traits, here=here[key], kit=kits.at(place)))
    return tuple(plans)


def exercise_views(
    rows: Iterable[PlannedExercise], plan: engine.SessionPlan, done: engine.PrescribedSession
) -> tuple[ExerciseView, ...]:
    """Planned exercises of a session beside what the engine made of them."""
    return tuple(
        ExerciseView(row, made, one.equipment.steps if isinstance(one.equipment, engine.Ordinal) else ())
        for row, one, made in zip(rows, plan.exercises, done.exercises, strict=True)
    )


@dataclass(frozen=True)
class Shown:
    """What of a programme is looked at: a session (trained `at` another place), else a week, else the day's week."""

    session: int | None = None
    week: int | None = None
    at: Place | None = None


def shown_week(program: Program, on: date, weeks: int, sessions: Iterable[PlannedSession], shown: Shown) -> int:
    """The number of the week looked at, within the programme."""
    opened = next((row.week_no for row in sessions if row.pk == shown.session), None) if shown.session else None
    return opened or max(1, min(shown.week or this_week(program, on), weeks))


def _part(program: Program, found: ProgramFacts, on: date, shown: Shown | None) -> tuple[int, int] | None:
    if shown is None or sum(len(exercises_in(row)) for row in found.sessions) <= MOST_AT_ONCE:
        return None
    weeks = weeks_of(found.blocks)
    week = shown_week(program, on, weeks, found.sessions, shown)
    return max(1, week - WEEKS_BEFORE), min(weeks, week + WEEKS_AFTER)


def _as_if(sessions: Iterable[PlannedSession], changed: Changed) -> None:
    """Put other values on rows in memory; nothing is written."""
    for row in (one for session in sessions for one in session.exercises.all()):
        for name, value in changed.get(row.pk, {}).items():
            setattr(row, name, value)


def program_view(
    program: Program, *, client: Client | None, on: date, shown: Shown | None = None, changed: Changed | None = None,
    decisions: bool = True,
) -> ProgramView:  # fmt: skip
    """The programme as prescribed for `client` (its own, or one chosen to look at a template with) as of `on`.

    With `shown` a very long one is worked out around that place only; `part` then says which weeks.
    `changed`: other values for some planned exercises, to see what they would do. `decisions`: for pages that show
    no flags False, so that what was set aside is not looked up.
    """
    found = program_facts(program, client, on, decisions=decisions)
    _as_if(found.sessions, changed or {})
    if shown is not None and shown.at is not None:
        for row in (row for row in found.sessions if row.pk == shown.session):
            row.place = shown.at
    part = _part(program, found, on, shown)
    sessions = [row for row in found.sessions if part is None or part[0] <= row.week_no <= part[1]]
    plans = session_plans(sessions, client, Known(found.estimates, found.bests, found.facts), Kits())
    traits = traits_of(client, on, found.facts) if client else NOBODY
    rules = house_rules(client or program.practice)
    context = engine.Context()
    if client is not None:
        # A template looked at with a client has no dates: it would start next, not weeks ago.
        start_on = program.start_on if client.pk == program.client_id else None
        context = context_for(
            client, start_on=start_on, today=on, facts=found.facts, sessions=sessions, estimates=found.estimates
        )  # fmt: skip
    answer = engine.prescribe_weeks(plans, traits, rules, context)
    flags = tuple(f for f in answer.flags if client is not None or f.code not in NEEDS_CLIENT)
    if client is not None and client.pk == program.client_id:
        flags += logged_flags(
            sessions, this_week(program, on), reports=found.reports, estimates=found.estimates, today=on, rules=rules
        )  # fmt: skip
    made = {plan.key: plan for plan in plans}
    weeks = _weeks(program, weeks_of(found.blocks), found.sessions, made, answer, flags, found.decided)
    return ProgramView(
        program, client, tuple(found.blocks), weeks, flags, traits, found.decided, rules, context, part, plans
    )  # fmt: skip


def _weeks(
    program: Program, count: int, sessions: Sequence[PlannedSession], plans: Mapping[str | int, engine.SessionPlan],
    answer: engine.PrescribedProgram,
    flags: tuple[engine.Flag, ...], decided: dict[str, FlagDecision],
) -> tuple[WeekView, ...]:  # fmt: skip
    prescribed = {s.key: s for s in answer.sessions}
    totals = {w.week_no: w for w in answer.weeks}
    severities: dict[object, list[str]] = {}
    for flag in flags:
        if flag.where.session_key is not None and flag.id not in decided:
            severities.setdefault(flag.where.session_key, []).append(flag.severity)
    grid: list[list[list[SessionView]]] = [[[] for _ in range(7)] for _ in range(count)]
    for row in sessions:
        if row.week_no > count:
            continue
        done, plan = prescribed.get(row.pk), plans.get(row.pk)
        views = exercise_views(_in_order(row), plan, done) if plan and done else ()
        done = done or engine.PrescribedSession(row.pk, 0, row.name, (), 0.0)
        start = program.start_on
        on = start + timedelta(days=7 * (row.week_no - 1) + row.day) if start else None
        grid[row.week_no - 1][row.day].append(
            SessionView(row, done, views, on, tuple(severities.get(row.pk, ())), row.pk in prescribed)
        )
    return tuple(
        WeekView(
            n + 1, program.start_on + timedelta(weeks=n) if program.start_on else None,
            tuple(tuple(day) for day in days), totals.get(n + 1),
        )
        for n, days in enumerate(grid)
    )  # fmt: skip


def session_view(session: PlannedSession, *, client: Client | None, on: date) -> SessionView:
    """One session on its own, as prescribed for `client`."""
    known = known_of(client) if client else Known()
    rows = PlannedSession.objects.filter(pk=session.pk).select_related("place")
    row = rows.prefetch_related("exercises__exercise__muscles").get()
    plans = session_plans([row], client, known, Kits())
    traits = traits_of(client, on, known.facts) if client else NOBODY
    rules = house_rules(client or session.block.program.practice)
    done = engine.prescribe_session(plans[0], traits, rules)
    views = exercise_views(_in_order(row), plans[0], done)
    return SessionView(session, done, views, None)
