"""The client's calendar and what is done in it: moving, days away, dates, missed sessions, undo."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST, require_safe

from clients.doors import get_client_or_404
from clients.forms.fields import put_errors
from clients.links.doors import UNSEEN, client_of_token
from clients.models import Client, ClientLink
from clients.selectors import today_for, visible_places
from clients.services.stale import StaleForm
from clients.views.stale import clashes, merged_data, taken
from coachdesk.htmx import render_page, wants_partial
from coachdesk.practice.doors import writer_of
from coachdesk.practice.merge import StaleEdit
from coachdesk.practice.tape import UndoConflict, undo
from programs import selectors
from programs.calendar import services
from programs.calendar.changes import Preview, absence_preview, coming, missed_preview
from programs.calendar.days import day_words, plan_of
from programs.calendar.doors import get_absence_or_404, get_client_date_or_404, get_dated_session_or_404
from programs.calendar.feed import sessions_calendar
from programs.calendar.forms import AbsenceEditForm, AbsenceNewForm, DateForm, MissedForm, MoveForm, day_of, month_of
from programs.calendar.month import calendar
from programs.calendar.trial import trial_day
from programs.services import apply_remedy

PAGE = "programs/client_calendar.html"


def _shown(request: HttpRequest, client: Client) -> dict[str, Any]:
    """Which days are looked at: `month` or `week` of the address or the form, else the month of today."""
    today = today_for(client, timezone.now())
    week = day_of(request.POST.get("week") or request.GET.get("week") or "")
    month = month_of(request.POST.get("month") or request.GET.get("month") or "")
    return {"by": "week" if week else "month", "at": week or month or today, "today": today}


def _calendar_page(request: HttpRequest, client: Client, *, status: int = 200, problem: str = "") -> HttpResponse:
    page = calendar(client, **_shown(request, client))
    context = {"client": client, "page": page, "problem": problem, "partial": wants_partial(request)}
    return render_page(request, PAGE, context, partial="calendar", status=status)


def _back(request: HttpRequest, client: Client, anchor: str = "") -> HttpResponse:
    """To the calendar after a change: drawn anew for htmx, by redirect otherwise, on the same days."""
    if wants_partial(request):
        return _calendar_page(request, client)
    asked = {name: request.POST.get(name) or request.GET.get(name) or "" for name in ("month", "week")}
    # What is no day would make an address that nobody can open, after a change that is written.
    known = {"month": month_of(asked["month"]), "week": day_of(asked["week"])}
    query = urlencode({name: asked[name] for name, found in known.items() if found})
    path = reverse("programs:client_calendar", args=[client.pk])
    return redirect(f"{path}{'?' + query if query else ''}{'#' + anchor if anchor else ''}")


@require_GET
def client_calendar(request: HttpRequest, pk: int) -> HttpResponse:
    """A month or a week of one client, day by day."""
    return _calendar_page(request, get_client_or_404(request, pk))


@require_http_methods(["GET", "POST"])
def session_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a session on another day; a dragged one that cannot go there stays, and the calendar says why."""
    session = get_dated_session_or_404(request, pk)
    desk, client = writer_of(request), session.block.program.client
    assert client is not None
    on = selectors.session_on(session)
    form = MoveForm(request.POST or None, initial={"on": on, "version": session.version})
    status, stale_words = 200, ""
    if request.method == "POST" and form.is_valid():
        try:
            services.move_session(by=desk, session=session, **form.cleaned_data)
        except StaleEdit:
            status, stale_words = 409, f"{session.name} was moved by somebody else meanwhile; look where it is now."
            form = MoveForm(initial={"on": on, "version": session.version})
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, f"{session.name} is on {day_words(form.cleaned_data['on'])}. Undo takes it back.")
            return _back(request, client, f"s-{session.pk}")
    status = 422 if form.errors else status
    if wants_partial(request) and status != 200:
        words = stale_words or " ".join(str(e) for errors in form.errors.values() for e in errors)
        return _calendar_page(request, client, status=status, problem=words)
    context = {"form": form, "session": session, "client": client, "on": on, "problem": stale_words}
    return render(request, "programs/session_move.html", context, status=status)


@require_http_methods(["GET", "POST"])
def session_missed(request: HttpRequest, pk: int) -> HttpResponse:
    """Move, drop or fold a session that was not done: first what would change, then the doing."""
    session = get_dated_session_or_404(request, pk)
    desk, client = writer_of(request), session.block.program.client
    assert client is not None
    today, plan = today_for(client, timezone.now()), plan_of(session)
    choices = [(row.pk, f"{row.name}, {day_words(plan.on(row))}") for row in coming(plan, session, today)[:12]]
    initial = {"how": "move", "to": today}
    form = MissedForm(request.POST or None, coming=choices, initial=initial)
    context = {"form": form, "session": session, "client": client, "on": plan.on(session)}
    preview, status = None, 200
    if request.method == "POST" and form.is_valid():
        data = dict(form.cleaned_data)
        digest = data.pop("digest")
        preview = missed_preview(plan, session, today=today, **data)
        if digest and not preview.problem:
            try:
                services.answer_missed(by=desk, session=session, today=today, digest=digest, **data)
                messages.success(request, f"{session.name}: done as shown. Undo takes it back.")
                return _back(request, client)
            except services.MovedOn as moved:
                preview, status = moved.preview, 409
            except ValidationError as problem:
                put_errors(form, problem)
    return _previewed(request, "programs/session_missed.html", context, form, preview, status)


def _previewed(
    request: HttpRequest, template: str, context: dict[str, Any], form: Any, preview: Preview | None, status: int
) -> HttpResponse:
    """A form page with what it would change below it; the button there writes exactly that."""
    if preview is not None and preview.problem:
        form.add_error(None, preview.problem)
        preview = None
    status = 422 if form.errors else status
    return render(request, template, {**context, "preview": preview, "moved_on": status == 409}, status=status)


@require_http_methods(["GET", "POST"])
def absence_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter days away: first every session that would change, then the doing."""
    client = get_client_or_404(request, pk)
    desk = writer_of(request)
    day = day_of(request.GET.get("on", "")) or today_for(client, timezone.now())
    initial = {"first_on": day, "last_on": day, "how": "shift"}
    form = AbsenceNewForm(request.POST or None, places=visible_places(desk), initial=initial)
    preview, status = None, 200
    if request.method == "POST" and form.is_valid():
        data = dict(form.cleaned_data)
        digest = data.pop("digest")
        chosen = {"first": data["first_on"], "last": data["last_on"], "how": data["how"], "place": data["place"]}
        try:
            services.check_absence(data["first_on"], data["last_on"])
            preview = absence_preview(client, **chosen)
            if digest and not preview.problem:
                services.enter_absence(by=desk, client=client, digest=digest, **data)
                messages.success(request, f"{client.name}'s days away are in the calendar. Undo takes all of it back.")
                return _back(request, client)
        except services.MovedOn as moved:
            preview, status = moved.preview, 409
        except ValidationError as problem:
            put_errors(form, problem)
    context = {"form": form, "client": client}
    return _previewed(request, "programs/absence_new.html", context, form, preview, status)


def _edited(request: HttpRequest, template: str, form: Any, save: Any, context: dict[str, Any]) -> HttpResponse:
    """A form with a version: saved and back to the calendar, or shown again with errors or with both values."""
    status, client = 200, context["client"]
    if request.method == "POST" and form.is_valid():
        data = dict(form.cleaned_data)
        version = data.pop("version", 1)
        try:
            save(version, taken(request.POST, data))
        except StaleForm as stale:
            context["clashes"] = clashes(form, stale)
            form.data, status = merged_data(form, request.POST, stale), 409
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, "The calendar is changed.")
            return _back(request, client)
    return render(request, template, {**context, "form": form}, status=422 if form.errors else status)


@require_http_methods(["GET", "POST"])
def absence_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change days away; sessions stay where they are."""
    absence = get_absence_or_404(request, pk)
    desk = writer_of(request)
    initial = {n: getattr(absence, n) for n in ("first_on", "last_on", "kind", "note", "version")}
    form = AbsenceEditForm(request.POST or None, initial=initial)
    context = {"absence": absence, "client": absence.client}

    def save(version: int, fields: dict[str, Any]) -> None:
        services.edit_absence(by=desk, absence=absence, version=version, fields=fields)

    return _edited(request, "programs/absence_edit.html", form, save, context)


@require_POST
def absence_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take days away out of the calendar."""
    absence = get_absence_or_404(request, pk)
    services.remove_absence(by=writer_of(request), absence=absence)
    messages.success(request, "Out of the calendar; sessions stay where they are.")
    return _back(request, absence.client)


@require_http_methods(["GET", "POST"])
def client_date_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter a test day or a date to peak for."""
    client = get_client_or_404(request, pk)
    desk = writer_of(request)
    initial = {"on": day_of(request.GET.get("on", "")) or today_for(client, timezone.now())}
    exercises = selectors.visible_exercises(desk).filter(rep_kind="reps").order_by("folded", "id")
    form = DateForm(request.POST or None, exercises=exercises, initial=initial)

    def save(_version: int, fields: dict[str, Any]) -> None:
        services.enter_date(by=desk, client=client, **fields)

    return _edited(request, "programs/client_date_new.html", form, save, {"client": client})


@require_GET
def client_date_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """A day to train towards; a test with its steps, to print."""
    entry = get_client_date_or_404(request, pk)
    today = today_for(entry.client, timezone.now())
    context = {"entry": entry, "client": entry.client, "day_page": trial_day(entry, today)}
    return render_page(request, "programs/client_date_detail.html", context)


@require_http_methods(["GET", "POST"])
def client_date_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a test day or a date to peak for."""
    entry = get_client_date_or_404(request, pk)
    desk = writer_of(request)
    initial = {"on": entry.on, "kind": entry.kind, "exercise": entry.exercise_id, "note": entry.note}
    exercises = selectors.visible_exercises(desk).filter(rep_kind="reps").order_by("folded", "id")
    form = DateForm(request.POST or None, exercises=exercises, initial=initial, version=entry.version)

    def save(version: int, fields: dict[str, Any]) -> None:
        services.edit_date(by=desk, entry=entry, version=version, fields=fields)

    return _edited(request, "programs/client_date_edit.html", form, save, {"entry": entry, "client": entry.client})


@require_POST
def client_date_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a test day or a date to peak for out of the calendar."""
    entry = get_client_date_or_404(request, pk)
    services.remove_date(by=writer_of(request), entry=entry)
    messages.success(request, f"{entry.words} is out of the calendar.")
    return _back(request, entry.client)


def _turn(request: HttpRequest, pk: int, *, back: bool) -> HttpResponse:
    client = get_client_or_404(request, pk)
    page = calendar(client, **_shown(request, client))
    act = page.undo if back else page.redo
    if act is None:
        messages.info(request, "There is nothing to undo." if back else "There is nothing to redo.")
    else:
        try:
            messages.success(request, f"{undo(act, by=writer_of(request)).label}.")
        except UndoConflict as conflict:
            messages.error(request, str(conflict))
    return _back(request, client)


@require_POST
def calendar_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back the latest act on this client's calendar or programmes."""
    return _turn(request, pk, back=True)


@require_POST
def calendar_redo(request: HttpRequest, pk: int) -> HttpResponse:
    """Do again what was taken back last."""
    return _turn(request, pk, back=False)


@require_POST
def calendar_flag_apply(request: HttpRequest, pk: int) -> HttpResponse:
    """Apply one remedy of a flag shown in the calendar."""
    client = get_client_or_404(request, pk)
    page = calendar(client, **_shown(request, client))
    found = ((one.program, f.flag) for one in page.programs for f in one.flags if f.id == request.POST.get("flag"))
    program, flag = next(found, (None, None))
    text = request.POST.get("remedy", "")
    try:
        if program is None or flag is None:
            raise ValidationError("This flag is gone: the plan has changed since the page was drawn.")
        index = int(text) if text.isascii() and text.isdigit() and len(text) < 4 else -1
        label = apply_remedy(by=writer_of(request), program=program, flag=flag, index=index)
        messages.success(request, f"Applied: {label}. Undo takes it back.")
    except ValidationError as wrong:
        messages.error(request, " ".join(wrong.messages))
    return _back(request, client)


@login_not_required
@require_safe
def calendar_feed(request: HttpRequest, token: str) -> HttpResponse:
    """The planned sessions of the client whose calendar link this is, for a calendar program that subscribes."""
    made = sessions_calendar(client_of_token(token, ClientLink.Kind.CALENDAR), timezone.now())
    headers = {**UNSEEN, "Content-Disposition": 'inline; filename="sessions.ics"'}
    return HttpResponse(made, content_type="text/calendar; charset=utf-8", headers=headers)
