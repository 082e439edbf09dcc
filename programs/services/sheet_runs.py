"""Issuing the sheets of a run, client after client, each in a short transaction; stopping it, and removing old ones.

Nothing works behind a page: every request that asks for it does a little, and the rows say what is left. So any app
server can go on where another stopped, and a crash loses at most the client that was being worked out.
"""

import logging
from collections.abc import Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime, timedelta
from time import perf_counter

from django.core.exceptions import ValidationError

from clients.models import Client, Place
from clients.selectors import visible_clients
from coachdesk.practice.models import Membership, Practice
from coachdesk.practice.tape import Tape, UndoConflict, more_of, write
from programs.models import PlannedSession, RunSheet, SheetRun
from programs.selectors.prescription import ProgramView
from programs.services.sheets import HandoverStopped, handover_view, issue_shown

log = logging.getLogger(__name__)
MOST_SHEETS = 400
KEPT, PRESSED_AGAIN = timedelta(days=14), timedelta(minutes=10)
NOTHING_PLANNED = "nothing is planned"
GONE = "the session was removed meanwhile"
UNSEEN = "is no longer among the clients you see"
FAILED = "could not be worked out; the desk's log says more"
Views = dict[tuple[int, int | None], ProgramView]


@dataclass(frozen=True)
class Wanted:
    """A session to issue for a client, at another place where one is given; without one, why there is none."""

    client: Client
    session: PlannedSession | None
    place: Place | None = None


def start_run(
    *, by: Membership, title: str, wanted: Sequence[Wanted], layout: str, paper: str, now: datetime
) -> SheetRun:
    """Note whose sheets belong in a file; none is issued yet. Old runs of the practice go. Raises ValidationError.

    A second press gives the run that the first one began, while it runs.
    """
    if not any(one.session for one in wanted):
        raise ValidationError("None of those chosen has anything planned then; choose another week or other clients.")
    if len(wanted) > MOST_SHEETS:
        raise ValidationError(f"{len(wanted)} sheets are asked for; {MOST_SHEETS} in one file is the most.")
    begun = _begun(by, wanted, layout, paper, now)
    if begun is not None:
        return begun
    with write(f"Begin sheets: {title}"[:200], by=by, at=now) as tape:
        SheetRun.objects.filter(practice=by.practice, began_at__lt=now - KEPT).delete()
        run = SheetRun(practice=by.practice, by=by, title=title[:200], layout=layout, paper=paper, began_at=now)
        tape.create(run, record=False)
        RunSheet.objects.bulk_create(_rows(run, wanted))
        keep_paper(by=by, paper=paper)
    return run


def _begun(by: Membership, wanted: Sequence[Wanted], layout: str, paper: str, now: datetime) -> SheetRun | None:
    asked = [(one.client.pk, one.session.pk if one.session else None) for one in wanted]
    runs = SheetRun.objects.filter(by=by, state=SheetRun.State.RUNNING, layout=layout, paper=paper)
    for run in runs.filter(began_at__gt=now - PRESSED_AGAIN).order_by("-id"):
        if list(run.rows.order_by("position").values_list("client", "planned_session")) == asked:
            return run
    return None


def _rows(run: SheetRun, wanted: Sequence[Wanted]) -> list[RunSheet]:
    return [
        RunSheet(
            run=run, client=one.client, planned_session=one.session, place=one.place, position=n,
            waiting=one.session is not None, left_out="" if one.session else NOTHING_PLANNED,
        )
        for n, one in enumerate(wanted)
    ]  # fmt: skip


def keep_paper(*, by: Membership, paper: str) -> None:
    """The paper chosen last is the practice's own from now on."""
    if paper != by.practice.paper_size:
        with write(f"Print on {paper.upper() if paper == 'a4' else paper.capitalize()}", by=by) as tape:
            practice: Practice = tape.lock(by.practice)
            practice.paper = by.practice.paper = paper
            tape.save(practice)


def issue_some(*, run: SheetRun, now: datetime, seconds: float) -> SheetRun:
    """Issue one client's sheets after the other until the time is used up; the run as it stands after it.

    Does nothing for one that is done or cancelled. Two browsers at once share the work.
    """
    began = perf_counter()
    while run.state == SheetRun.State.RUNNING:
        run = _issue_next(run, now)
        if perf_counter() - began >= seconds:
            break
    return run


def _issue_next(run: SheetRun, now: datetime) -> SheetRun:
    # As it stands now: another browser may have begun its act, and an act that changed nothing is gone again.
    run = SheetRun.objects.select_related("by__practice", "by__user", "act", "practice").get(pk=run.pk)
    try:
        with _act_of(run, now) as tape:
            row = _locked(run)
            if row.state == SheetRun.State.RUNNING and row.act_id in (None, tape.act.pk):
                row.act = tape.act
                _issue(row, now)
            return row
    except UndoConflict:  # somebody took back what was issued so far: that is the end of it
        return cancel_run(by=run.by, run=run, now=now)


def _locked(run: SheetRun) -> SheetRun:
    return (
        SheetRun.objects.select_for_update(of=("self",))
        .select_related("by__practice", "by__user", "practice")
        .get(pk=run.pk)
    )


def _act_of(run: SheetRun, now: datetime) -> AbstractContextManager[Tape]:
    return more_of(run.act) if run.act else write(f"Issue sheets: {run.title}"[:200], by=run.by, at=now)


def _issue(run: SheetRun, now: datetime) -> None:
    """The sheets of the first client that waits; the last of all ends the run."""
    waiting = run.rows.filter(waiting=True).order_by("position")
    first = waiting.first()
    if first is not None:
        seen = visible_clients(run.by).filter(pk=first.client_id, archived_on=None).exists()
        views: Views = {}
        for row in waiting.filter(client=first.client_id).select_related(
            "planned_session__block__program__client__place", "planned_session__block__program__practice",
            "planned_session__place", "place", "planned_session__block__program__client__practice",
        ):  # fmt: skip
            row.left_out = _issue_row(run, row, views, now) if seen else UNSEEN
            row.waiting = False
            row.save(update_fields=["sheet", "left_out", "waiting"])
    if not waiting.exists():
        run.state, run.ended_at = SheetRun.State.DONE, now
    run.save(update_fields=["act", "state", "ended_at"])


def _issue_row(run: SheetRun, row: RunSheet, views: Views, now: datetime) -> str:
    """Give the row its sheet; else the reason why it gets none."""
    session = row.planned_session
    if session is None:
        return GONE
    try:
        view = _view(session, row.place, views, now)
    except Exception:  # one programme that cannot be worked out must not hold up everybody else's sheets
        log.exception("Planned session %s could not be worked out for a run of sheets", session.pk)
        return FAILED
    try:
        row.sheet = issue_shown(by=run.by, view=view, session=session, now=now)
    except HandoverStopped as stopped:
        return f"open stop: {stopped.flags[0].sentence}"[:300]
    except ValidationError as wrong:
        return " ".join(wrong.messages)[:300]
    return ""


def _view(session: PlannedSession, place: Place | None, views: Views, now: datetime) -> ProgramView:
    """Worked out once for the sessions of one programme, but anew for each that is moved to another place."""
    key = (session.block.program_id, session.pk if place else None)
    found = views.get(key)
    if found is None or found.session(session.pk) is None:
        found = views[key] = handover_view(session, now, at=place)
    return found


def cancel_run(*, by: Membership, run: SheetRun, now: datetime) -> SheetRun:
    """Stop it; sheets issued so far stay issued, as they would one by one. Nothing for one that is done."""
    with write("How far a run of sheets is", by=by, at=now):
        row = _locked(run)
        if row.state == SheetRun.State.RUNNING:
            row.state, row.ended_at = SheetRun.State.CANCELLED, now
            row.save(update_fields=["state", "ended_at"])
        return row
