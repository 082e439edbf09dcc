"""Pages that belong to no app: errors that Django raises before or after a view."""

import sys

from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

TOO_MUCH = (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say in plain words that the form was too old or cookies are off; what was typed is one step back."""
    return render(request, "403_csrf.html", status=403)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """413 for more than a form may hold, else 400. Reads nothing of the request, which is what could not be read."""
    if _refused_by_database(exception):
        return _busy()
    too_much = isinstance(exception, TOO_MUCH)
    return HttpResponse(render_to_string("400.html", {"too_much": too_much}), status=413 if too_much else 400)


def failure(request: HttpRequest) -> HttpResponse:
    """503 when the database is busy, full or read-only, which passes or is the machine's; else 500."""
    if _refused_by_database(sys.exc_info()[1]):
        return _busy()
    return HttpResponse(render_to_string("500.html"), status=500)


def _busy() -> HttpResponse:
    return HttpResponse(render_to_string("503.html"), status=503, headers={"Retry-After": "5"})


def _refused_by_database(problem: BaseException | None) -> bool:
    """Whether the database is behind it: Django calls a session it could not save a bad request."""
    while problem is not None:
        if isinstance(problem, (OperationalError, InterfaceError)):
            return True
        problem = problem.__cause__ or problem.__context__
    return False
