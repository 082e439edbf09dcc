"""The client list, one client's page, and their profile."""

from functools import partial
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients import selectors, services
from clients.doors import get_client_or_404
from clients.forms import ClientForm
from clients.forms.fields import put_errors
from clients.models import Client
from clients.records.retention import anybody_due
from clients.services.stale import StaleForm
from clients.staff.selectors import coaches_of
from clients.views.stale import clashes, merged_data, taken
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of


@require_GET
def client_list(request: HttpRequest) -> HttpResponse:
    """Clients by name, a hundred at a time, found by any part of the name."""
    query, archived = request.GET.get("q", "")[:120], request.GET.get("archived") == "1"
    after = request.GET.get("after", "")
    now = timezone.now()
    page = selectors.client_page(
        selectors.client_rows(desk_of(request), query, archived),
        after=int(after) if after.isascii() and after.isdigit() and len(after) < 19 else None,
    )
    rows = [(client, selectors.screening_state(client, selectors.today_for(client, now))) for client in page.clients]
    context = {
        "rows": rows,
        "next_after": page.next_after,
        "query": query,
        "archived": archived,
        "after": after,
        # Asked by the whole page alone, not by what htmx replaces in it.
        "retention": partial(anybody_due, desk_of(request), now),
    }
    return render_page(request, "clients/client_list.html", context, partial="client-list")


@require_GET
def client_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """Who this is and where they stand; the apps above add their panels."""
    client = get_client_or_404(request, pk)
    today = selectors.today_for(client, timezone.now())
    context = {
        "client": client,
        "today": today,
        "coaches": coaches_of(client),
        "age": selectors.age_on(client, today),
        "screening": selectors.latest_screening(client, today),
        "screening_state": selectors.screening_state(client, today),
        "precautions": selectors.precautions_on(client, today),
        "past_precautions": selectors.past_precautions(client, today),
        "marks": [(muscle, aim) for muscle, aim in selectors.marks_of(client) if aim],
    }
    return render(request, "clients/client_detail.html", context)


@require_http_methods(["GET", "POST"])
def client_new(request: HttpRequest) -> HttpResponse:
    """Add a client."""
    by = writer_of(request)
    start = {"unit": by.practice.unit, "time_zone": by.practice.time_zone, "coach": by.pk}
    form = ClientForm(request.POST if request.method == "POST" else None, desk=by, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            client = services.create_client(by=by, now=timezone.now(), **form.fields_typed())
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, f"{client.name} is added. Next: screening, precautions, tested lifts.")
            return redirect("clients:client_detail", pk=client.pk)
    return render(request, "clients/client_new.html", {"form": form}, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def client_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a client's profile; a stale edit shows both values and keeps what was typed."""
    client = get_client_or_404(request, pk)
    by = writer_of(request)
    # ModelForm writes into its instance while checking, so it gets one of its own.
    form = ClientForm(
        request.POST if request.method == "POST" else None, desk=by, instance=get_client_or_404(request, pk)
    )
    context: dict[str, Any] = {"client": client, "form": form}
    if request.method == "POST" and form.is_valid():
        try:
            saved = services.edit_client(
                by=by, client=client, version=form.cleaned_data["version"], now=timezone.now(),
                **taken(request.POST, form.fields_typed()),
            )  # fmt: skip
        except ValidationError as problem:
            put_errors(form, problem)
        except StaleForm as stale:
            return _client_stale(request, client, form, stale)
        else:
            messages.success(request, f"{saved.name} is saved.")
            return redirect("clients:client_detail", pk=pk)
    return render(request, "clients/client_edit.html", context, status=422 if form.errors else 200)


def _client_stale(request: HttpRequest, client: Client, form: ClientForm, stale: StaleForm) -> HttpResponse:
    data = merged_data(form, request.POST, stale)
    again = ClientForm(data, desk=desk_of(request), instance=get_client_or_404(request, client.pk))
    context = {"client": client, "form": again, "clashes": clashes(form, stale)}
    return render(request, "clients/client_edit.html", context, status=409)


@require_POST
def client_archive(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a client off the lists."""
    client = get_client_or_404(request, pk)
    services.archive_client(by=writer_of(request), client=client, now=timezone.now())
    messages.success(request, f"{client.name} is archived; 'Restore' puts them back.")
    return redirect("clients:client_detail", pk=pk)


@require_POST
def client_restore(request: HttpRequest, pk: int) -> HttpResponse:
    """Put an archived client back on the lists."""
    client = get_client_or_404(request, pk)
    services.restore_client(by=writer_of(request), client=client, now=timezone.now())
    messages.success(request, f"{client.name} is back on the lists.")
    return redirect("clients:client_detail", pk=pk)
