"""What logs say about pain and symmetry: the reports, the rule's answers, and the flags of a running programme."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TypeVar

from django.db.models import QuerySet

from clients.models import Client
from coachdesk import engine
from coachdesk.engine.pain import ACTIONS, PainAnswer, PainFacts, PainPoint, PlannedUse, pain_answer, pain_flags
from coachdesk.engine.symmetry import Symmetry, SymmetryFacts, symmetry_flags, symmetry_of
from programs.mapping import exercises_in, scheme_of, strength_of
from programs.models import PainReport, PlannedSession, StrengthEstimate, TimedBest

WHOLE_SESSION = "The session as a whole"
# How many reports a panel lists of an exercise that hurts, and of one that does not.
PANEL, PANEL_CALM = 8, 3
# The longest a house rule may let a report answer for (see clients.rule_texts).
MOST_DAYS = 730


@dataclass(frozen=True)
class ExercisePain:
    """The reports of one exercise, newest first, with what the rule asks for and the chain below it."""

    name: str
    exercise_id: int | None
    reports: tuple[PainReport, ...]
    answer: PainAnswer
    easier: str

    @property
    def sentence(self) -> str:
        return engine.sentence(self.answer.because)


@dataclass(frozen=True)
class SidedStrength:
    """One exercise with an estimate of each side, in kg."""

    name: str
    machine: str
    left: StrengthEstimate
    right: StrengthEstimate
    symmetry: Symmetry

    @property
    def percents(self) -> tuple[int, int, int]:
        seen = self.symmetry
        return round(100 * seen.index), round(100 * seen.low), round(100 * seen.high)


def report_rows(client_ids: Iterable[int], today: date) -> QuerySet[PainReport]:
    """Reports of these clients that may still answer for today."""
    since = today - timedelta(days=MOST_DAYS)
    return PainReport.objects.filter(client__in=list(client_ids), on__gt=since, on__lte=today)


Dated = TypeVar("Dated", PainReport, TimedBest)


def by_client(rows: Iterable[Dated]) -> dict[int, list[Dated]]:
    """What was said on days, by client, oldest first."""
    found: dict[int, list[Dated]] = {}
    for row in sorted(rows, key=lambda row: (row.on, row.pk)):
        found.setdefault(row.client_id, []).append(row)
    return found


def reports_since(client_ids: Iterable[int], today: date) -> dict[int, list[PainReport]]:
    """Reports that may still answer for today, by client, oldest first: one query for any number of clients."""
    return by_client(report_rows(client_ids, today).select_related("exercise__easier"))


def pain_point(row: PainReport) -> PainPoint:
    """A report as the engine's value."""
    return PainPoint(row.on, row.pain, row.next_morning)


def uses_from(sessions: Iterable[PlannedSession], week_no: int) -> dict[int, tuple[PlannedUse, ...]]:
    """Where each exercise is planned from this week on (exercises prefetched), by exercise id."""
    found: dict[int, tuple[PlannedUse, ...]] = {}
    for session in sessions:
        if session.week_no >= week_no:
            for row in exercises_in(session):
                use = PlannedUse(row.pk, session.week_no, scheme_of(row), row.cue)
                found[row.exercise_id] = (*found.get(row.exercise_id, ()), use)
    return found


def _names(sessions: Iterable[PlannedSession]) -> dict[int, str]:
    return {row.exercise_id: row.exercise.name for session in sessions for row in exercises_in(session)}


def pain_facts(reports: Iterable[PainReport], uses: Mapping[int, tuple[PlannedUse, ...]]) -> list[PainFacts]:
    """One of each exercise reported on, and of the session as a whole."""
    grouped: dict[int | None, list[PainReport]] = {}
    for row in reports:
        grouped.setdefault(row.exercise_id, []).append(row)
    return [_facts(rows, uses) for rows in grouped.values()]


def _facts(rows: list[PainReport], uses: Mapping[int, tuple[PlannedUse, ...]]) -> PainFacts:
    exercise, points = rows[0].exercise, tuple(pain_point(row) for row in rows)
    if exercise is None:
        return PainFacts(WHOLE_SESSION, points)
    easier = (exercise.easier.pk, exercise.easier.name) if exercise.easier else None
    return PainFacts(exercise.name, points, uses.get(exercise.pk, ()), easier)


def sided(estimates: Iterable[StrengthEstimate]) -> list[tuple[StrengthEstimate, StrengthEstimate]]:
    """(left, right) of each exercise and machine that has both."""
    found: dict[tuple[int, str], dict[str, StrengthEstimate]] = {}
    for row in estimates:
        if row.side in ("l", "r"):
            found.setdefault((row.exercise_id, row.machine), {})[row.side] = row
    return [(pair["l"], pair["r"]) for pair in found.values() if len(pair) == 2]


def logged_flags(
    sessions: Iterable[PlannedSession], week_no: int, *, reports: Iterable[PainReport],
    estimates: Iterable[StrengthEstimate], today: date, rules: engine.Rules,
) -> tuple[engine.Flag, ...]:  # fmt: skip
    """Flags from what was logged about pain and sides, with remedies for the sessions from week `week_no` on."""
    reports, pairs = list(reports), sided(estimates)
    if not reports and not pairs:
        return ()  # as for most clients; where exercises are planned need not be looked up
    planned = list(sessions)
    uses, names = uses_from(planned, week_no), _names(planned)
    sides = [
        SymmetryFacts(
            names.get(left.exercise_id, ""), strength_of(left), strength_of(right), uses.get(left.exercise_id, ())
        )
        for left, right in pairs
    ]
    return (*pain_flags(pain_facts(reports, uses), today, rules), *symmetry_flags(sides, rules))


def sided_strengths(estimates: Iterable[StrengthEstimate], machines: Mapping[str, str]) -> list[SidedStrength]:
    """Every exercise with both sides known, by name (exercise selected); `machines`: their keys in words."""
    found = []
    for left, right in sided(estimates):
        symmetry = symmetry_of(strength_of(left), strength_of(right))
        machine = machines.get(left.machine, left.machine)
        found.append(SidedStrength(left.exercise.name, machine, left, right, symmetry))
    return found


def pain_of(client: Client, today: date, rules: engine.Rules) -> list[ExercisePain]:
    """Every exercise reported on lately, the most serious answer first, with its reports, newest first.

    Reports older than the rule's days are listed no more; the log keeps them.
    """
    rows = reports_since([client.pk], today).get(client.pk, [])
    recent = [row for row in rows if (today - row.on).days <= rules.pain_days]
    grouped: dict[int | None, list[PainReport]] = {}
    for row in reversed(recent):
        grouped.setdefault(row.exercise_id, []).append(row)
    found = [_exercise_pain(some, rules) for some in grouped.values()]
    return sorted(found, key=lambda one: -ACTIONS.index(one.answer.action))


def _exercise_pain(rows: list[PainReport], rules: engine.Rules) -> ExercisePain:
    exercise = rows[0].exercise
    name = exercise.name if exercise else WHOLE_SESSION
    answer = pain_answer(name, [pain_point(row) for row in reversed(rows)], rules)
    easier = exercise.easier.name if exercise and exercise.easier else ""
    shown = PANEL if answer.action != "go_on" else PANEL_CALM
    return ExercisePain(name, exercise.pk if exercise else None, tuple(rows[:shown]), answer, easier)
