"""A client's maxima and programmes, as pages and as panels of the client's page."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients.doors import get_client_or_404
from clients.forms.fields import put_errors
from clients.models import Client
from clients.selectors import today_for, visible_places
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from coachdesk.practice.models import Membership
from programs import selectors, services
from programs.forms import StrengthTestForm
from programs.models import StrengthObservation, TimedBest
from programs.selectors.pain_page import symmetry_table


@require_GET
def client_programs(request: HttpRequest, pk: int) -> HttpResponse:
    """The client's programmes, newest first."""
    client = get_client_or_404(request, pk)
    today = today_for(client, timezone.now())
    context = {
        "client": client, "today": today, "programs": selectors.programs_of(client),
        "current": selectors.current_program(client, today),
    }  # fmt: skip
    return render_page(request, "programs/client_programs.html", context, partial="panel")


@require_http_methods(["GET", "POST"])
def client_strength(request: HttpRequest, pk: int) -> HttpResponse:
    """Estimates with their doubt, tests, and a form to record another."""
    client = get_client_or_404(request, pk)
    today = today_for(client, timezone.now())
    desk = desk_of(request)
    exercises = selectors.visible_exercises(desk).order_by("folded", "id")
    initial = {"unit": client.unit, "on": today, "side": "b"}
    form = StrengthTestForm(
        request.POST or None, exercises=exercises, places=visible_places(desk), today=today, initial=initial
    )
    if request.method == "POST" and form.is_valid():
        try:
            row = _record(writer_of(request), client, form)
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, f"Recorded: {row}.")
            return redirect("programs:client_strength", pk=pk)
    estimates, machines = list(selectors.estimates_of(client)), selectors.machine_names(client)
    context = {
        "client": client, "today": today, "form": form, "estimates": estimates,
        "tests": selectors.tests_of(client)[:30], "recovery": selectors.recovery_of(client),
        "bests": selectors.bests_of(client)[:30], "machines": machines,
        **symmetry_table(client, estimates, machines),
    }  # fmt: skip
    status = 422 if form.errors else 200
    return render_page(request, "programs/client_strength.html", context, partial="panel", status=status)


def _record(by: Membership, client: Client, form: StrengthTestForm) -> StrengthObservation | TimedBest:
    if form.timed:
        return services.record_best(by=by, client=client, **form.best)
    return services.record_test(by=by, client=client, **form.cleaned_data)


@require_POST
def strength_best_delete(request: HttpRequest, pk: int, best_pk: int) -> HttpResponse:
    """Take a best time or distance back."""
    client = get_client_or_404(request, pk)
    best = selectors.bests_of(client).filter(pk=best_pk).first()
    if best is None:
        raise Http404
    services.remove_best(by=writer_of(request), best=best)
    messages.success(request, f"Removed: {best}.")
    return redirect("programs:client_strength", pk=pk)


@require_POST
def strength_test_delete(request: HttpRequest, pk: int, test_pk: int) -> HttpResponse:
    """Take a tested lift back."""
    client = get_client_or_404(request, pk)
    test = selectors.tests_of(client).filter(pk=test_pk).first()
    if test is None:
        raise Http404
    services.remove_test(by=writer_of(request), observation=test)
    messages.success(request, f"Removed: {test}.")
    return redirect("programs:client_strength", pk=pk)
