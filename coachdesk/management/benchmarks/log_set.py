"""One set typed into the page of a session log, until it is acknowledged; and what follows on the page."""

from collections.abc import Iterator
from uuid import uuid4

from django.urls import reverse

from clients.models import Client
from clients.selectors import today_for
from coachdesk.engine import format_load
from coachdesk.management.benchmarks.course import Course
from coachdesk.management.benchmarks.edit import htmx_headers
from coachdesk.management.benchmarks.harness import Step
from coachdesk.management.benchmarks.pages import expect
from coachdesk.management.benchmarks.stage import NothingToMeasureError, Stage
from programs.logs.mapping import SheetStep, done_otherwise, sheet_exercises
from programs.logs.models import SessionLog
from programs.logs.services import record_session_log
from programs.models import PlannedSession
from programs.services import issue_sheet

USUAL_REPS = 6
Open = tuple[SessionLog, SheetStep]


def make_log_set(stage: Stage, times: int) -> Step:
    """Sets left open in sessions of the twelve weeks, each logged once: row, sums, evidence and estimate."""
    return _logging(stage, times, then_taught=False)


def make_log_set_taught(stage: Stage, times: int) -> Step:
    """The same, and the panel that the page asks for a moment later: each estimate before and after the session."""
    return _logging(stage, times, then_taught=True)


def _logging(stage: Stage, times: int, *, then_taught: bool) -> Step:
    left = open_sets(stage, stage.client, stage.course, times)
    first = reverse("logs:session_log_detail", args=[left[0][0].pk])
    headers = htmx_headers(stage.browser, first)
    calls = iter(left)

    def step() -> None:
        log, one = next(calls)
        load = format_load(one.load) if one.load is not None else ""
        row = {"slot": one.slot, "load": load, "reps": str(one.written_reps or USUAL_REPS), "rir": "2"}
        path = reverse("logs:set_log", args=[log.pk])
        expect(stage.browser.post(path, row, headers=headers), 200, f'id="set-{one.slot}"'.encode())
        if then_taught:
            panel = reverse("logs:session_log_estimates", args=[log.pk])
            expect(stage.browser.get(panel, headers={"HX-Request": "true"}), 200, b"cap-estimates")

    return step


def open_sets(stage: Stage, client: Client, course: Course, times: int) -> list[Open]:
    """At least so many sets of this client's sessions that wait to be logged. Raises NothingToMeasureError."""
    found: list[Open] = []
    for session in course.sessions:
        if len(found) >= times:
            return found
        found += _open_session(stage, client, session)
    if len(found) >= times:
        return found
    raise NothingToMeasureError(f"Only {len(found)} sets can be left open; ask for fewer rounds.")


def _open_session(stage: Stage, client: Client, session: PlannedSession) -> Iterator[Open]:
    """A session of which only the first set is logged, on today's date."""
    sheet = issue_sheet(by=stage.owner, session=session, now=stage.now, why="Measuring on a scratch copy.")
    first, *rest = [step for one in sheet_exercises(sheet.body) for step in one.steps]
    done = done_otherwise(first, load=first.load, reps=first.written_reps or USUAL_REPS, rir=2.0)
    log = record_session_log(
        by=stage.owner, client=client, key=uuid4(), done_on=today_for(client, stage.now), steps=[done],
        now=stage.now, sheet=sheet,
    )  # fmt: skip
    return ((log, step) for step in rest)
