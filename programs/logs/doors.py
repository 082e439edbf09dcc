"""The doors to session logs, set logs and blocks to report on: found, or 404 to a stranger."""

from django.http import HttpRequest

from coachdesk.practice.doors import desk_of, get_or_404
from programs.logs import selectors
from programs.logs.models import ClientMessage, PlanGap, RosterView, SessionLog, SetLog
from programs.models import Block


def get_session_log_or_404(request: HttpRequest, pk: int) -> SessionLog:
    """A session log of a client this person may see."""
    return get_or_404(selectors.visible_session_logs(desk_of(request)), request, pk)


def get_set_log_or_404(request: HttpRequest, pk: int) -> SetLog:
    """A set log of a client this person may see."""
    return get_or_404(selectors.visible_set_logs(desk_of(request)), request, pk)


def get_report_block_or_404(request: HttpRequest, pk: int) -> Block:
    """A block of a programme of a client this person may see; one of a template reports to nobody."""
    return get_or_404(selectors.reportable_blocks(desk_of(request)), request, pk)


def get_message_or_404(request: HttpRequest, pk: int) -> ClientMessage:
    """A message of a client this person may see."""
    return get_or_404(selectors.visible_messages(desk_of(request)), request, pk)


def get_plan_gap_or_404(request: HttpRequest, pk: int) -> PlanGap:
    """A session logged from a sheet that the plan had left, of a client this person may see."""
    return get_or_404(selectors.visible_plan_gaps(desk_of(request)), request, pk)


def get_roster_view_or_404(request: HttpRequest, pk: int) -> RosterView:
    """A kept view of the roster that this person may remove."""
    return get_or_404(selectors.changeable_views(desk_of(request)), request, pk)
