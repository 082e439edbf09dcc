"""The sessions of a block for its report: planned, done, skipped and why, minutes, ratings, what was left out."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import Q

from clients.models import Client
from coachdesk import engine
from coachdesk.templatetags.desk import day
from programs.calendar.month import session_state
from programs.logs.mapping import SheetExercise, sheet_exercises
from programs.logs.models import SessionLog
from programs.selectors import SessionView, WeekView

# More weeks than this are told four at a time: a report has one to two pages.
MOST_LINES, AT_A_TIME = 16, 4
# More sessions than this are counted instead of named.
MOST_NAMED = 4
# As many reasons stand beside an exercise, each cut to so many letters.
MOST_REASONS, MOST_REASON = 3, 60


@dataclass(frozen=True)
class Visit:
    """A planned session with its log, or (no plan) one done besides. `state` as on the calendar, or 'besides'."""

    name: str
    on: date
    state: str
    planned_minutes: int | None
    log: SessionLog | None

    @property
    def taken_minutes(self) -> int | None:
        return self.log.minutes if self.log and self.state in ("done", "besides") else None

    @property
    def load(self) -> float | None:
        """Rating x minutes; None where one of them was not noted."""
        if self.log is None or self.log.rating is None or self.taken_minutes is None:
            return None
        return engine.session_load(self.log.rating, self.taken_minutes)


@dataclass(frozen=True)
class WeekLine:
    """One week (or four): planned and done sessions, minutes, and load; None where nothing was noted."""

    words: str
    monday: date
    visits: tuple[Visit, ...]

    @property
    def planned(self) -> int:
        return sum(1 for one in self.visits if one.state != "besides")

    @property
    def done(self) -> int:
        return sum(1 for one in self.visits if one.state in ("done", "besides"))

    @property
    def planned_minutes(self) -> int:
        return sum(one.planned_minutes or 0 for one in self.visits)

    @property
    def taken_minutes(self) -> int | None:
        return _sum(one.taken_minutes for one in self.visits)

    @property
    def load(self) -> int | None:
        total = _sum(one.load for one in self.visits)
        return None if total is None else round(total)

    @property
    def rated(self) -> int:
        return sum(1 for one in self.visits if one.load is not None)


def _sum(values: Iterable[float | None]) -> int | None:
    known = [value for value in values if value is not None]
    return round(sum(known)) if known else None


@dataclass(frozen=True)
class Sessions:
    """All visits of the block; `left_out` and `added`: (exercise, in how many sessions), most often first.

    `reasons`: by exercise left out what was said of it, in how many sessions.
    """

    lines: tuple[WeekLine, ...]
    left_out: tuple[tuple[str, int], ...]
    added: tuple[tuple[str, int], ...]
    reasons: Mapping[str, Counter[str]] = field(default_factory=dict)

    @property
    def visits(self) -> list[Visit]:
        return [one for line in self.lines for one in line.visits]

    def count(self, *states: str) -> int:
        return sum(1 for one in self.visits if one.state in states)

    @property
    def done(self) -> int:
        return self.count("done")

    @property
    def due(self) -> int:
        """Planned sessions whose day has come: done, skipped or without a log."""
        return self.count("done", "skipped", "missed")

    @property
    def to_come(self) -> int:
        return self.count("planned", "today")

    @property
    def besides(self) -> int:
        return self.count("besides")

    @property
    def missed(self) -> list[Visit]:
        return [one for one in self.visits if one.state == "missed"]

    @property
    def skipped(self) -> list[Visit]:
        return [one for one in self.visits if one.state == "skipped"]

    @property
    def skipped_words(self) -> str:
        """'Upper A, Tue 24 Nov: ill'; more than a few are counted by their reason: 'travelling 4 x, ill 2 x'."""
        pairs = [(one, one.log.skipped_why) for one in self.skipped if one.log]
        if len(pairs) > MOST_NAMED:
            return ", ".join(f"{why} {n} x" for why, n in Counter(why for _, why in pairs).most_common())
        return "; ".join(f"{one.name}, {day(one.on)}: {why}" for one, why in pairs)

    @property
    def missed_words(self) -> str:
        """'Upper A, Tue 24 Nov'; of more than a few how many, and from when to when."""
        found = self.missed
        if len(found) > MOST_NAMED:
            return f"{len(found)} sessions from {day(found[0].on)} to {day(found[-1].on)}"
        return "; ".join(f"{one.name}, {day(one.on)}" for one in found)

    @property
    def besides_words(self) -> str:
        """'Team training, Tue 24 Nov'; more than a few are counted by their name: 'Team training 12 x'."""
        found = [one for one in self.visits if one.state == "besides"]
        if len(found) > MOST_NAMED:
            return ", ".join(f"{name} {n} x" for name, n in Counter(one.name for one in found).most_common())
        return "; ".join(f"{one.name}, {day(one.on)}" for one in found)

    @property
    def left_out_words(self) -> list[str]:
        """'Bench press 3 x (rack taken 2 x, had to leave 1 x)'; without a reason only how often."""
        return [f"{name} {n} x{_because(self.reasons.get(name, Counter()))}" for name, n in self.left_out]

    @property
    def timed(self) -> list[tuple[int, int]]:
        """(planned, taken) minutes of sessions of which both are known."""
        pairs = [(one.planned_minutes, one.taken_minutes) for one in self.visits]
        return [(planned, taken) for planned, taken in pairs if planned and taken]

    @property
    def ratings(self) -> list[int]:
        return [one.log.rating for one in self.visits if one.log and one.log.rating is not None]

    @property
    def rated(self) -> int:
        return sum(line.rated for line in self.lines)


def _because(reasons: Counter[str]) -> str:
    told = [f"{why} {n} x" for why, n in reasons.most_common(MOST_REASONS)]
    more = ["other reasons"] if len(reasons) > MOST_REASONS else []
    return f" ({', '.join([*told, *more])})" if told else ""


def report_sessions(client: Client, weeks: Sequence[WeekView], *, today: date) -> Sessions:
    """The visits of these weeks of a programme, with what else was logged in their days; two queries."""
    first, last = _monday(weeks[0]), _monday(weeks[-1]) + timedelta(days=6)
    plans = [session for week in weeks for day in week.days for session in day]
    logs = _logs(client, first, last, [one.row.pk for one in plans], today)
    answers = {log.planned_session_id: log for log in logs}
    here = {session.row.pk for session in plans}
    besides = [
        Visit(log.title, log.done_on, "besides", None, log)
        for log in logs
        if log.planned_session_id not in here and log.status == SessionLog.Status.DONE
    ]
    return Sessions(tuple(_lines(weeks, answers, besides, today)), *_differences(logs))


def _monday(week: WeekView) -> date:
    if week.monday is None:
        raise ValueError("A report needs a programme with dates.")
    return week.monday


def _logs(client: Client, first: date, last: date, planned: Sequence[int], today: date) -> list[SessionLog]:
    """Logs of these sessions whenever they were done, and any other of these days; done ones last, so they count.

    Not those of a day still to come, as a clock that was set back leaves them.
    """
    wanted = Q(planned_session__in=list(planned)) | Q(done_on__range=(first, last))
    rows = client.session_logs.filter(wanted, done_on__lte=today).select_related("sheet")
    rows = rows.prefetch_related("sets__exercise", "departures")
    return sorted(rows, key=lambda log: (log.status == SessionLog.Status.DONE, log.done_on, log.pk))


def _visit(session: SessionView, log: SessionLog | None, today: date) -> Visit:
    planned = log.sheet.body.get("minutes") if log is not None and log.sheet else None
    on = session.on or today
    return Visit(session.row.name, on, session_state(session, log, today), planned or session.whole_minutes, log)


def _lines(
    weeks: Sequence[WeekView], answers: dict[int | None, SessionLog], besides: Sequence[Visit], today: date
) -> list[WeekLine]:
    step = 1 if len(weeks) <= MOST_LINES else AT_A_TIME
    made = []
    for n in range(0, len(weeks), step):
        part = weeks[n : n + step]
        first, last = _monday(part[0]), _monday(part[-1]) + timedelta(days=6)
        visits = [_visit(s, answers.get(s.row.pk), today) for week in part for day in week.days for s in day]
        visits += [one for one in besides if first <= one.on <= last]
        words = f"Week {part[0].week_no}" if step == 1 else f"Weeks {part[0].week_no} to {part[-1].week_no}"
        made.append(WeekLine(words, first, tuple(visits)))
    return made


Counted = tuple[tuple[str, int], ...]


def _differences(logs: Iterable[SessionLog]) -> tuple[Counted, Counted, dict[str, Counter[str]]]:
    """Exercises that stood on a sheet and were not done, that were done without standing on it, and why not."""
    left_out: Counter[str] = Counter()
    added: Counter[str] = Counter()
    reasons: dict[str, Counter[str]] = {}
    for log in logs:
        if log.status != SessionLog.Status.DONE or log.sheet is None:
            continue
        exercises = sheet_exercises(log.sheet.body)
        planned = {one.exercise: one.name for one in exercises}
        done = {row.exercise_id: row.exercise.name for row in log.sets.all()}
        left_out.update(name for pk, name in planned.items() if pk not in done)
        added.update(name for pk, name in done.items() if pk not in planned)
        said = {row.place: row.why[:MOST_REASON] for row in log.departures.all() if row.why}
        for one in exercises:
            why = said.get(str(one.position)) or _said_of_sets(said, one) or said.get("")
            if why and one.exercise not in done:
                reasons.setdefault(one.name, Counter())[why] += 1
    return tuple(left_out.most_common()), tuple(added.most_common()), reasons


def _said_of_sets(said: Mapping[str, str], one: SheetExercise) -> str | None:
    """The first reason written behind a set of an exercise."""
    return next((said[step.slot] for step in one.steps if step.slot in said), None)
