"""A client's links: the coach's list of them, making one, and opening one."""

from datetime import timedelta

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST, require_safe

from clients.doors import get_client_or_404
from clients.forms.fields import put_errors
from clients.links import services
from clients.links.doors import COOKIE, PHONE_PATH, UNSEEN, client_of_token, get_link_or_404
from clients.links.forms import LinkForm
from clients.links.selectors import link_rows
from clients.models import Client, ClientLink
from clients.selectors import today_for
from coachdesk.practice.doors import writer_of
from coachdesk.qr_code import qr_svg


@require_GET
def client_links(request: HttpRequest, pk: int) -> HttpResponse:
    """A client's links, and a form to make one."""
    client = get_client_or_404(request, pk)
    return _list(request, client, LinkForm(today=today_for(client, timezone.now())))


@require_POST
def link_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a link and show its address, this once."""
    client = get_client_or_404(request, pk)
    by, now = writer_of(request), timezone.now()
    form = LinkForm(request.POST, today=today_for(client, now))
    if form.is_valid():
        try:
            return _shown(request, *services.make_link(by=by, client=client, now=now, **form.cleaned_data))
        except ValidationError as problem:
            put_errors(form, problem)
    return _list(request, client, form, status=422)


@require_POST
def link_rotate(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop a link and show the address of the one in its place, this once."""
    link = get_link_or_404(request, pk)
    try:
        return _shown(request, *services.rotate_link(by=writer_of(request), link=link, now=timezone.now()))
    except ValidationError as problem:
        messages.error(request, " ".join(problem.messages))
    return redirect("clients:client_links", pk=link.client_id)


@require_POST
def link_revoke(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop a link at once."""
    link = get_link_or_404(request, pk)
    services.revoke_link(by=writer_of(request), link=link, now=timezone.now())
    messages.success(request, f"The link '{link.label}' is revoked and opens nothing any more.")
    return redirect("clients:client_links", pk=link.client_id)


def _list(request: HttpRequest, client: Client, form: LinkForm, status: int = 200) -> HttpResponse:
    context = {"client": client, "form": form, "rows": link_rows(client, timezone.now())}
    return render(request, "clients/client_links.html", context, status=status)


def _shown(request: HttpRequest, link: ClientLink, token: str) -> HttpResponse:
    """The answer to the press itself: an address that a redirect could show would have to be kept somewhere."""
    opens = "programs:calendar_feed" if link.kind == ClientLink.Kind.CALENDAR else "clients:link_open"
    address = request.build_absolute_uri(reverse(opens, args=[token]))
    code = qr_svg(address, label="QR code of the address above")
    context = {"client": link.client, "link": link, "address": address, "code": code, "served": settings.ENV.served}
    answer = render(request, "clients/link_shown.html", context)
    answer["Cache-Control"] = "no-store"
    return answer


@login_not_required
@require_safe
def link_open(request: HttpRequest, token: str) -> HttpResponse:
    """Swap the token in the address for a cookie and lead on to a clean address, any number of times.

    Nothing is written: previews and in-app browsers fetch links too, and lose their cookies.
    """
    client_of_token(token, ClientLink.Kind.PHONE)
    answer = HttpResponseRedirect(PHONE_PATH, headers=UNSEEN)
    # The desk decides at every request whether the token still opens; the cookie only must last as long as a link may.
    answer.set_cookie(
        COOKIE, token, max_age=services.LONGEST_LIFE + timedelta(days=1), path=PHONE_PATH, httponly=True,
        samesite="Lax", secure=settings.ENV.served,
    )  # fmt: skip
    return answer
