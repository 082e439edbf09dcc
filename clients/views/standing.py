"""Where a client stands: screening, precautions, marked muscles."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from clients import questions, selectors, services
from clients.doors import get_client_or_404, get_precaution_or_404
from clients.forms import EndPrecautionForm, MusclesForm, PrecautionForm, ScreeningForm
from clients.forms.fields import put_errors
from clients.services.stale import StaleForm
from clients.views.consent import ask_first
from clients.views.stale import clashes
from coachdesk.practice.doors import writer_of


@require_http_methods(["GET", "POST"])
def screening_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask the screening questions and keep the answers with what follows from them."""
    client = get_client_or_404(request, pk)
    by, now = writer_of(request), timezone.now()
    if (closed := ask_first(request, client, "Screening")) is not None:
        return closed
    form = ScreeningForm(request.POST if request.method == "POST" else None, today=selectors.today_for(client, now))
    if request.method == "POST" and form.is_valid():
        typed = {name: form.cleaned_data[name] for name in ("asked_on", "cleared_until", "valid_until", "note")}
        try:
            made = services.record_screening(by=by, client=client, now=now, answers=form.answers(), **typed)
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, f"Screening is kept: {made.get_outcome_display()}.")
            return redirect("clients:client_detail", pk=pk)
    context = {"client": client, "form": form, "caution": questions.CAUTION, "source": questions.SOURCE}
    return render(request, "clients/screening_new.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def precaution_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Add something to work around."""
    client = get_client_or_404(request, pk)
    by = writer_of(request)
    if (closed := ask_first(request, client, "Precautions")) is not None:
        return closed
    form = PrecautionForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            services.add_precaution(by=by, client=client, now=timezone.now(), **form.cleaned_data)
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, "The precaution is added.")
            return redirect("clients:client_detail", pk=pk)
    context = {"client": client, "form": form}
    return render(request, "clients/precaution_new.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def precaution_end(request: HttpRequest, pk: int) -> HttpResponse:
    """End a precaution, today or on a given day."""
    precaution = get_precaution_or_404(request, pk)
    by = writer_of(request)
    form = EndPrecautionForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            services.end_precaution(by=by, precaution=precaution, now=timezone.now(), **form.cleaned_data)
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, "The precaution is ended; it stays in the history.")
            return redirect("clients:client_detail", pk=precaution.client_id)
    context = {"client": precaution.client, "precaution": precaution, "form": form}
    return render(request, "clients/precaution_end.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def muscles_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark muscles to grow, to hold, or in rehab; two people marking one muscle at once see both marks."""
    client = get_client_or_404(request, pk)
    by = writer_of(request)
    form = MusclesForm(request.POST if request.method == "POST" else None, client=client)
    context: dict[str, Any] = {"client": client, "form": form}
    if request.method == "POST" and form.is_valid():
        take = set(request.POST.getlist("take"))
        marks = {code: aim for code, aim in form.aims().items() if code not in take}
        try:
            services.mark_muscles(by=by, client=client, now=timezone.now(), marks=marks, base=form.base())
        except ValidationError as problem:
            put_errors(form, problem)
        except StaleForm as stale:
            shown = {code: str(aim) for code, aim in stale.merged.items()}
            now_saved = {f"was_{muscle.code}": aim for muscle, aim in selectors.marks_of(client)}
            context |= {
                "form": MusclesForm({**shown, **now_saved}, client=client),
                "clashes": clashes(form, stale),
            }
            return render(request, "clients/muscles_edit.html", context, status=409)
        else:
            messages.success(request, "The marks are saved.")
            return redirect("clients:client_detail", pk=pk)
    return render(request, "clients/muscles_edit.html", context, status=422 if form.errors else 200)
