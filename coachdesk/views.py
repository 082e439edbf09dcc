"""Pages that belong to no app: errors that Django raises before or after a view."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say in plain words that the form was too old or cookies are off; what was typed is one step back."""
    return render(request, "403_csrf.html", status=403)
