"""The library of schemes: the kinds the engine knows, and those the practice keeps by name."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients.forms.fields import put_errors
from clients.services.stale import StaleForm
from coachdesk import engine
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from programs import selectors, services
from programs.doors import get_scheme_or_404
from programs.forms import SchemeForm
from programs.scheme_notes import start_of
from programs.selectors.schemes import form_fields, list_examples, scheme_clashes, stored_fields


@require_GET
def scheme_list(request: HttpRequest) -> HttpResponse:
    """Every kind with an example, and the practice's own schemes."""
    desk = desk_of(request)
    context = {"kinds": selectors.kind_rows(desk), "own": selectors.own_rows(desk), "unit": desk.practice.unit}
    return render_page(request, "programs/scheme_list.html", context)


@require_http_methods(["GET", "POST"])
def scheme_new(request: HttpRequest) -> HttpResponse:
    """Keep a scheme by name; `kind` in the address gives the values to start from."""
    by = writer_of(request)
    kind = request.GET.get("kind", "")
    start = start_of(kind if kind in engine.SCHEMES else "straight")
    form = SchemeForm(request.POST or None, unit=by.practice.unit, initial=start)
    if request.method == "POST" and form.is_valid():
        name, scheme = form.cleaned_data["name"], form.cleaned_data["scheme"]
        try:
            services.create_scheme(by=by, now=timezone.now(), name=name, scheme=scheme)
        except ValidationError as wrong:
            put_errors(form, wrong)
        else:
            messages.success(request, f"{name} is kept.")
            return redirect("programs:scheme_list")
    context = {"form": form, "fields": form_fields(form), "lists": list_examples()}
    return render_page(request, "programs/scheme_new.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def scheme_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a kept scheme; a stale edit shows what is saved now beside what was typed."""
    row = get_scheme_or_404(request, pk)
    by = writer_of(request)
    unit = by.practice.unit
    start = {**stored_fields(row, unit), "name": row.name, "version": row.version}
    form = SchemeForm(request.POST or None, unit=unit, initial=start)
    context: dict[str, Any] = {"scheme": row}
    status = 200
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            services.edit_scheme(
                by=by, row=row, version=data["version"] or 0, now=timezone.now(), name=data["name"],
                scheme=data["scheme"],
            )  # fmt: skip
        except ValidationError as wrong:
            put_errors(form, wrong)
        except StaleForm as stale:
            form = SchemeForm({**request.POST.dict(), "version": stale.row.version}, unit=unit)  # type: ignore[attr-defined]
            context["conflicts"], status = scheme_clashes(stale), 409
        else:
            messages.success(request, f"{data['name']} is saved.")
            return redirect("programs:scheme_list")
    context |= {"form": form, "fields": form_fields(form), "lists": list_examples()}
    status = 422 if status == 200 and form.errors else status
    return render_page(request, "programs/scheme_edit.html", context, status=status)


@require_POST
def scheme_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Forget a kept scheme."""
    row = get_scheme_or_404(request, pk)
    name = row.name
    services.remove_scheme(by=writer_of(request), row=row, now=timezone.now())
    messages.success(request, f"{name} is deleted. Undo it on the page of changes.")
    return redirect("programs:scheme_list")
