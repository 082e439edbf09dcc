"""What a page about health says to somebody whose client has not agreed to health notes."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from clients.models import Client
from clients.selectors import health_consent


def ask_first(request: HttpRequest, client: Client, what: str) -> HttpResponse | None:
    """The page that asks for consent first, or None where the client agreed. A form sent all the same is refused."""
    consent = health_consent(client)
    if consent is not None and consent.holds:
        return None
    context = {"client": client, "consent": consent, "what": what}
    return render(request, "clients/consent_first.html", context, status=422 if request.method == "POST" else 200)
