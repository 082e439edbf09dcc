"""Places and their equipment."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients import selectors, services
from clients.doors import get_equipment_or_404, get_place_or_404
from clients.forms import EQUIPMENT_FORMS, EquipmentForm, PlaceForm, PlaceNameForm
from clients.forms.fields import put_errors
from clients.mapping import equipment_value
from clients.models import Equipment
from clients.services.stale import StaleForm
from clients.starting_sets import STARTING_SETS
from clients.views.stale import Clash, clashes, merged_data, taken
from coachdesk.engine import equipment_from_json
from coachdesk.practice.doors import desk_of, writer_of


@require_GET
def place_list(request: HttpRequest) -> HttpResponse:
    """Every place of the practice."""
    return render(request, "clients/place_list.html", {"places": selectors.place_rows(desk_of(request))})


@require_http_methods(["GET", "POST"])
def place_new(request: HttpRequest) -> HttpResponse:
    """Add a place, with equipment to start from."""
    by = writer_of(request)
    form = PlaceForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            place = services.create_place(by=by, now=timezone.now(), **form.cleaned_data)
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, f"{place.name} is added.")
            return redirect("clients:place_detail", pk=place.pk)
    return render(request, "clients/place_new.html", {"form": form}, status=422 if form.errors else 200)


@require_GET
def place_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """A place's equipment and the loads that can be made with it."""
    place = get_place_or_404(request, pk)
    context = {
        "place": place,
        "rows": selectors.equipment_rows(place),
        "kinds": Equipment.Kind.choices,
        "starting_sets": STARTING_SETS[1:],
    }
    return render(request, "clients/place_detail.html", context)


@require_http_methods(["GET", "POST"])
def place_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Rename a place, or say whether there is a spotter."""
    place = get_place_or_404(request, pk)
    by = writer_of(request)
    start = {"name": place.name, "spotter": place.spotter, "version": place.version}
    form = PlaceNameForm(request.POST if request.method == "POST" else None, initial=start)
    context: dict[str, Any] = {"place": place, "form": form}
    if request.method == "POST" and form.is_valid():
        version = form.cleaned_data["version"]
        typed = {"name": form.cleaned_data["name"]}
        if "spotter" in request.POST:
            typed["spotter"] = form.cleaned_data["spotter"]
        try:
            mine = taken(request.POST, typed)
            if mine:
                services.edit_place(by=by, place=place, version=version, now=timezone.now(), **mine)
        except ValidationError as problem:
            put_errors(form, problem)
        except StaleForm as stale:
            again = PlaceNameForm(merged_data(form, request.POST, stale))
            context |= {"form": again, "clashes": clashes(form, stale)}
            return render(request, "clients/place_edit.html", context, status=409)
        else:
            return redirect("clients:place_detail", pk=pk)
    return render(request, "clients/place_edit.html", context, status=422 if form.errors else 200)


@require_POST
def equipment_start(request: HttpRequest, pk: int) -> HttpResponse:
    """Add one of the starting sets to a place."""
    place = get_place_or_404(request, pk)
    key = request.POST.get("starting", "")
    if key not in dict(STARTING_SETS[1:]):
        raise Http404
    services.add_starting_set(by=writer_of(request), place=place, now=timezone.now(), key=key)
    messages.success(request, "The equipment is added; change or remove what is not there.")
    return redirect("clients:place_detail", pk=pk)


@require_http_methods(["GET", "POST"])
def equipment_new(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Add one piece of equipment of a kind."""
    place = get_place_or_404(request, pk)
    by = writer_of(request)
    if kind not in EQUIPMENT_FORMS:
        raise Http404
    words = Equipment.Kind(kind).label
    start = {"name": words.capitalize(), "unit": by.practice.unit}
    form = EQUIPMENT_FORMS[kind](request.POST if request.method == "POST" else None, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            made = services.add_equipment(
                by=by, place=place, now=timezone.now(), value=form.value, count=form.count, kind=kind
            )
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, f"{made.name} is added.")
            return redirect("clients:place_detail", pk=pk)
    context = {"place": place, "form": form, "words": words}
    return render(request, "clients/equipment_new.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def equipment_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change one piece of equipment; a stale edit shows what is saved now beside what was typed."""
    row = get_equipment_or_404(request, pk)
    by = writer_of(request)
    form_class = EQUIPMENT_FORMS[row.kind]
    typed = request.POST if request.method == "POST" else None
    initial = {**form_class.typed(equipment_value(row)), "count": row.count}
    form = form_class(typed, initial=initial, version=row.version)
    context: dict[str, Any] = {"place": row.place, "equipment": row, "form": form}
    if request.method == "POST" and form.is_valid():
        version = form.cleaned_data["version"]
        try:
            services.edit_equipment(
                by=by, equipment=row, version=version, now=timezone.now(), value=form.value, count=form.count
            )
        except ValidationError as problem:
            put_errors(form, problem)
        except StaleForm as stale:
            return _equipment_stale(request, context, form, stale)
        else:
            messages.success(request, f"{form.value.name} is saved.")
            return redirect("clients:place_detail", pk=row.place_id)
    return render(request, "clients/equipment_edit.html", context, status=422 if form.errors else 200)


def _equipment_stale(
    request: HttpRequest, context: dict[str, Any], form: EquipmentForm, stale: StaleForm
) -> HttpResponse:
    """Shown field by field as typed: what clashes keeps mine, and the rest is what merged."""
    row: Any = stale.row
    now = {**type(form).typed(equipment_value(row)), "count": row.count}
    mine = {**type(form).typed(form.value), "count": form.count}
    merged = equipment_from_json({**stale.merged["spec"], "name": stale.merged["name"]})
    clashing = {conflict.field for conflict in stale.conflicts}
    own = ("name", "count")
    compared = [name for name in now if name in clashing or (name not in own and "spec" in clashing)]
    shown = [
        Clash(name, str(form.fields[name].label), str(mine[name]), str(now[name]))
        for name in compared if mine[name] != now[name]
    ]  # fmt: skip
    data = {**type(form).typed(merged), "count": stale.merged["count"], "version": row.version}
    context |= {"form": type(form)(data, version=data["version"]), "clashes": shown, "whole": True}
    return render(request, "clients/equipment_edit.html", context, status=409)


@require_POST
def equipment_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take one piece of equipment away."""
    row = get_equipment_or_404(request, pk)
    place_id, name = row.place_id, row.name
    services.remove_equipment(by=writer_of(request), equipment=row, now=timezone.now())
    messages.success(request, f"{name} is removed.")
    return redirect("clients:place_detail", pk=place_id)
