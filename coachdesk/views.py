"""Pages that belong to no app: a backup now, and errors that Django raises before or after a view."""

import sys
from collections.abc import Iterator

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import PermissionDenied, RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.db import DatabaseError, InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_POST
from django.views.defaults import page_not_found

from clients.links.doors import PHONE_PATH, UNSEEN, LinkMissing, LinkRefused
from coachdesk.management.backups import BackupError, make_backup
from coachdesk.practice.doors import next_path, owner_of

DAMAGE = ("malformed", "is not a database", "invalid page", "could not read block")
# PostgreSQL calls a write that it may not do an internal error.
REFUSALS, READ_ONLY = (OperationalError, InterfaceError), "in a read-only transaction"
TOO_MUCH = (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent)


@require_POST
def backup_new(request: HttpRequest) -> HttpResponse:
    """Make a backup of the whole database now: for the owner of a desk that runs on their own machine."""
    owner_of(request)
    if settings.ENV.served:
        raise PermissionDenied("On a served desk, whoever runs the machine makes backups: manage.py backup.")
    try:
        messages.success(request, f"Backup made: {make_backup(now=timezone.now())}.")
    except BackupError as problem:
        messages.error(request, str(problem))
    return redirect(next_path(request, "logs:roster"))


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say in plain words that the form was too old or cookies are off; what was typed is one step back."""
    return render(request, "403_csrf.html", status=403)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """413 for more than a form may hold, else 400. Reads nothing of the request, which is what could not be read."""
    if _is_damage(exception):
        return HttpResponse(render_to_string("503_damaged.html"), status=503)
    if _refused_by_database(exception):
        return _busy()
    too_much = isinstance(exception, TOO_MUCH)
    return HttpResponse(render_to_string("400.html", {"too_much": too_much}), status=413 if too_much else 400)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404; a client is told so in their own words, and what to do about a link that opens nothing."""
    refused = isinstance(exception, LinkRefused)
    if not refused and not request.path.startswith(PHONE_PATH):
        return page_not_found(request, exception)
    why = "missing" if isinstance(exception, LinkMissing) else "refused" if refused else "nothing"
    # Nothing of the request goes into the page: its address may hold the token.
    page = render_to_string("clients/link_404.html", {"why": why})
    # A phone that kept pages and things to send must know a refused link from a page that is gone.
    return HttpResponse(page, status=404, headers=UNSEEN | ({"X-Link": why} if refused else {}))


def failure(request: HttpRequest) -> HttpResponse:
    """503 when the database is busy, full or read-only, which passes or is the machine's; else 500."""
    problem = sys.exc_info()[1]
    if _is_damage(problem):
        return HttpResponse(render_to_string("503_damaged.html"), status=503)
    if _refused_by_database(problem):
        return _busy()
    return HttpResponse(render_to_string("500.html"), status=500)


def _busy() -> HttpResponse:
    return HttpResponse(render_to_string("503.html"), status=503, headers={"Retry-After": "5"})


def _refused_by_database(problem: BaseException | None) -> bool:
    """Whether the database is behind it: Django calls a session it could not save a bad request."""
    return any(isinstance(one, REFUSALS) or READ_ONLY in str(one) for one in _behind(problem))


def _is_damage(problem: BaseException | None) -> bool:
    """Whether the database itself is damaged, which no waiting mends; SQLite's words, then PostgreSQL's."""
    words = [str(one) for one in _behind(problem) if isinstance(one, DatabaseError)]
    return any(sign in said for said in words for sign in DAMAGE)


def _behind(problem: BaseException | None) -> Iterator[BaseException]:
    while problem is not None:
        yield problem
        problem = problem.__cause__ or problem.__context__
