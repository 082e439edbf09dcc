"""Setting two hundred session sheets as one PDF, beside two hundred copies of one static page by the same engine."""

from datetime import timedelta
from itertools import cycle, islice
from statistics import mean, median
from time import perf_counter
from typing import Any

from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.models import Client
from clients.selectors import today_for
from coachdesk.management.benchmarks.harness import Measured, p95
from coachdesk.management.benchmarks.stage import NothingToMeasureError, Stage
from programs.models import IssuedSheet, PlannedSession
from programs.paper.pages import page_of
from programs.paper.pdf import sheets_pdf
from programs.selectors import planned_days
from programs.selectors.prescription import ProgramView
from programs.services.sheets import HandoverStopped, handover_view, issue_shown

SHEETS, ROUNDS, WEEKS, PAPER = 200, 7, 12, "a4"
UNSEEN = "\u200b"
Page = dict[str, Any]


def measure_sheets(stage: Stage, rounds: int) -> list[Measured]:
    """Setting alone, in turns with the static page; then issuing, which no static page has. Seven rounds.

    The static page is the sheet whose rows are nearest to the mean, copied: the engine may keep what it set once. Every
    text of both carries an unseen mark that is new in every round, so that nothing is kept from one to the next.
    """
    sheets, issue_ms, queries = _issued(stage)
    pages = [page_of(one, stage.owner.practice.name, PAPER) for one in islice(cycle(sheets), SHEETS)]
    # Where there are fewer sheets than that, the second of each must not pass for one that was set already.
    pages = [_marked(page, UNSEEN * 3 * ROUNDS * (n // len(sheets))) for n, page in enumerate(pages)]
    static = _middle(pages)
    _set([static] * 3, 0)
    real_ms, static_ms = [], []
    for number in range(1, ROUNDS + 1):
        static_ms.append(_set([static] * SHEETS, 2 * number, alike=True))
        real_ms.append(_set(pages, 2 * number + 1))
    floor = median(static_ms)
    what = f"{SHEETS} sheets in one file; floor: {SHEETS} copies of one static page"
    return [
        Measured("sheets", what, median(real_ms), p95(real_ms), 0, floor),
        Measured("sheets_issue", f"issuing {SHEETS} sheets, a week's sessions together; floor: as above",
                 issue_ms * SHEETS, issue_ms * SHEETS, queries, floor),
    ]  # fmt: skip


def _issued(stage: Stage) -> tuple[list[IssuedSheet], float, int]:
    """Sheets of everybody's coming weeks, ms for one, and queries of the last one."""
    clients = list(Client.objects.filter(practice=stage.owner.practice, archived_on=None))
    today = today_for(stage.owner.practice, stage.now)
    found: list[IssuedSheet] = []
    views: dict[tuple[int, int], ProgramView] = {}
    began, queries = perf_counter(), 0
    for _, _, row in planned_days(clients, today, today + timedelta(weeks=WEEKS)):
        session = PlannedSession.objects.select_related(
            "block__program__client__place", "block__program__client__practice", "block__program__practice", "place"
        ).get(pk=row.pk)
        key = (session.block.program_id, session.week_no)
        with CaptureQueriesContext(connection) as caught:
            try:
                view = views.get(key) or views.setdefault(key, handover_view(session, stage.now))
                found.append(issue_shown(by=stage.owner, view=view, session=session, now=stage.now))
            except HandoverStopped:
                continue
        queries = len(caught)
        if len(found) == SHEETS:
            break
    if not found:
        raise NothingToMeasureError("No session of the coming weeks can be issued; 'sheets' needs one.")
    return found, 1000 * (perf_counter() - began) / len(found), queries


def _rows(page: Page) -> int:
    return sum(len(lift["rows"]) for lift in page["lifts"])


def _middle(pages: list[Page]) -> Page:
    usual = mean(map(_rows, pages))
    return min(pages, key=lambda page: abs(_rows(page) - usual))


def _marked(values: Any, mark: str) -> Any:
    if isinstance(values, str):
        return values and values + mark
    if isinstance(values, dict):
        return {key: _marked(one, mark) for key, one in values.items()}
    return [_marked(one, mark) for one in values] if isinstance(values, (list, tuple)) else values


def _set(pages: list[Page], round_no: int, *, alike: bool = False) -> float:
    marked = [
        _marked({**page, "made": f"{page['made']}{'' if alike else f' {n}.'}"}, UNSEEN * round_no)
        for n, page in enumerate(pages)
    ]
    began = perf_counter()
    made = sheets_pdf(marked, title="Measured", paper=PAPER)
    took = 1000 * (perf_counter() - began)
    if made.count(b"/Type /Page\n") < len(pages):
        raise RuntimeError(f"{len(pages)} pages were to be set; fewer are in the file.")
    return took
