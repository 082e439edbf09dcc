"""Groups: the list, their form, and everybody's session of a day side by side."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients.forms.fields import put_errors
from clients.selectors import today_for, visible_clients, visible_places
from clients.services.stale import StaleForm
from clients.views.stale import clashes, merged_data, taken
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from coachdesk.practice.tape import UndoConflict, undo
from programs.calendar.forms import day_of
from programs.groups import selectors, services
from programs.groups.doors import get_group_or_404
from programs.groups.forms import GroupForm
from programs.groups.room import Room, room, sessions_of, template_sessions_of
from programs.models import TrainingGroup
from programs.selectors.history import latest_acts


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None


@require_GET
def group_list(request: HttpRequest) -> HttpResponse:
    """Every group, with who leads it and how many are in it; with `template`, to look at one with a group."""
    rows = selectors.group_rows(desk_of(request))
    context = {"groups": rows, "template": _number(request.GET.get("template", ""))}
    return render_page(request, "programs/group_list.html", context)


def _form(request: HttpRequest, **more: Any) -> GroupForm:
    desk = writer_of(request)
    clients = visible_clients(desk).filter(archived_on=None)
    return GroupForm(request.POST or None, places=visible_places(desk), clients=clients, **more)


@require_http_methods(["GET", "POST"])
def group_new(request: HttpRequest) -> HttpResponse:
    """Make a group."""
    form = _form(request)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            made = services.create_group(
                by=writer_of(request), name=data["name"], place=data["place"], members=data["members"]
            )
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, f"{made.name} is made.")
            return redirect("programs:group_detail", pk=made.pk)
    return render(request, "programs/group_new.html", {"form": form}, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def group_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a group's name, place and members; members that two people change at once are merged."""
    group = get_group_or_404(request, pk)
    desk = writer_of(request)
    members = [client.pk for client in selectors.members_of(desk, group)]
    was = ",".join(str(one) for one in members)
    initial = {"name": group.name, "place": group.place_id, "members": members, "was": was}
    form = _form(request, version=group.version, initial=initial)
    context: dict[str, Any] = {"group": group}
    status = 200
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        fields = taken(request.POST, {"name": data["name"], "place": data["place"]})
        try:
            services.edit_group(
                by=desk, group=group, version=data["version"], fields=fields,
                members=[client.pk for client in data["members"]], was=data["was"],
            )  # fmt: skip
        except StaleForm as stale:
            context["clashes"] = clashes(form, stale)
            kept = {"members": request.POST.getlist("members"), "was": request.POST.get("was", "")}
            form.data, status = {**merged_data(form, request.POST, stale), **kept}, 409
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, "The group is saved.")
            return redirect("programs:group_detail", pk=pk)
    return render(request, "programs/group_edit.html", {**context, "form": form}, status=422 if form.errors else status)


@require_POST
def group_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a group away."""
    group = get_group_or_404(request, pk)
    services.remove_group(by=writer_of(request), group=group)
    messages.success(request, f"{group.name} is removed; its clients and their programmes stay.")
    return redirect("programs:group_list")


def _room(request: HttpRequest, group: TrainingGroup) -> tuple[Room, dict[str, Any]]:
    """What is looked at: a day (the next one that the group shares where nothing is said), or a template's session."""
    desk = desk_of(request)
    today = today_for(desk.practice, timezone.now())
    typed = request.POST if request.method == "POST" else request.GET
    clients = selectors.members_of(desk, group)
    days = selectors.days_ahead(clients, today)
    on = day_of(typed.get("on", "")) or (days[0].on if days else today)
    template = _number(typed.get("template", ""))
    choices = selectors.template_sessions(desk, template)
    wanted = _number(typed.get("session_of", ""))
    session = next((row for row in choices if row.pk == wanted), choices[0] if choices else None)
    found = template_sessions_of(clients, session.pk) if session else sessions_of(clients, on)
    made = room(group, clients, on, found, is_template=session is not None)
    context = {
        "group": group, "on": on, "today": today, "room": made, "clients": clients,
        "days": days, "templates": selectors.templates_of(desk),
        "template": template, "choices": choices, "session": session,
    }  # fmt: skip
    return made, context


@require_GET
def group_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """Everybody's session of a day side by side on one clock, and who would have to wait for what."""
    group = get_group_or_404(request, pk)
    made, context = _room(request, group)
    subjects = [services.subject_of_group(group), *made.subjects]
    context["undo"], _ = latest_acts(group.practice_id, subjects)
    return render_page(request, "programs/group_detail.html", context)


def _back(request: HttpRequest, group: TrainingGroup) -> HttpResponse:
    on = day_of(request.POST.get("on", ""))  # what is no day would make an address that nobody can open
    query = urlencode({"on": on.isoformat()} if on else {})
    path = reverse("programs:group_detail", args=[group.pk])
    return redirect(f"{path}{'?' + query if query else ''}#waits")


@require_POST
def group_order(request: HttpRequest, pk: int) -> HttpResponse:
    """Exchange two exercises of one member, or stagger everybody's order."""
    group = get_group_or_404(request, pk)
    by = writer_of(request)
    made, _ = _room(request, group)
    try:
        if "digest" in request.POST:
            if not made.orders or request.POST["digest"] != made.digest:
                raise ValidationError("The plan has changed since this page was drawn; look at it again.")
            label, orders = f"Stagger the order of {group.name}", made.orders
        else:
            names = ("session", "first", "second")
            label, orders = made.exchange(*(_number(request.POST.get(name, "")) for name in names))
        services.set_orders(by=by, group=group, orders=orders, label=label)
        messages.success(request, f"{label}: done. Undo takes it back.")
    except ValidationError as wrong:
        messages.error(request, " ".join(wrong.messages))
    return _back(request, group)


@require_POST
def group_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back the latest act on this group or on the programmes of the day."""
    group = get_group_or_404(request, pk)
    made, _ = _room(request, group)
    act, _ = latest_acts(group.practice_id, [services.subject_of_group(group), *made.subjects])
    if act is None:
        messages.info(request, "There is nothing to undo.")
    else:
        try:
            messages.success(request, f"{undo(act, by=writer_of(request)).label}.")
        except UndoConflict as conflict:
            messages.error(request, str(conflict))
    return _back(request, group)
