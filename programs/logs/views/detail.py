"""One session log: planned against done, its head to correct, and undo."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from clients.forms.fields import put_errors
from clients.selectors import today_for, visible_places
from clients.services.stale import StaleForm
from clients.views.stale import clashes, merged_data, taken
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, logging_view, writer_of
from coachdesk.practice.tape import UndoConflict
from programs.logs import selectors, services
from programs.logs.doors import get_session_log_or_404
from programs.logs.forms import ExtraExerciseForm, SessionHeadForm
from programs.logs.models import SessionLog
from programs.selectors import exercise_choices

HEAD = ("done_on", "minutes", "rating", "note", "version", "skipped_why", "name", "place")


def head_form(request: HttpRequest, session_log: SessionLog, data: object = None) -> SessionHeadForm:
    """The head of a log as a form: what is saved, or what was typed. A sheet has said the name and the place."""
    initial = {name: getattr(session_log, name) for name in HEAD}
    places = None if session_log.sheet else visible_places(desk_of(request))
    today = today_for(session_log.client, timezone.now())
    skipped = session_log.status == SessionLog.Status.SKIPPED
    return SessionHeadForm(data, today=today, initial=initial, skipped=skipped, edits=True, places=places)


def detail_page(request: HttpRequest, page: selectors.SessionPage, status: int = 200, **more: object) -> HttpResponse:
    """The whole page of a session log."""
    context = {"page": page, "log": page.log, "client": page.log.client, "form": head_form(request, page.log)} | more
    context["estimates"] = selectors.estimate_changes(page.log, page.exercises_done)
    context["aside"] = selectors.kept_aside(page.log)
    context["gap"] = selectors.plan_gap_of(page.log)
    context.setdefault("pains", selectors.pain_lines(page.log, page.exercises_done))
    context.setdefault("extra", ExtraExerciseForm(session_log=page.log, initial={"position": page.next_position}))
    context["bands"] = selectors.SettingChoices(page.log).bands()
    context["exercises"] = exercise_choices(desk_of(request))
    return render_page(request, "logs/session_log_detail.html", context, status=status)


@require_GET
def session_log_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """What was planned, what was done, what it taught."""
    return detail_page(request, selectors.session_page(get_session_log_or_404(request, pk)))


@require_GET
def session_log_changes(request: HttpRequest, pk: int) -> HttpResponse:
    """Who changed what of a session log, from what to what, and when; also a panel of its page."""
    log = get_session_log_or_404(request, pk)
    context = {"log": log, "client": log.client, "corrections": selectors.corrections(log)}
    return render_page(request, "logs/session_log_changes.html", context, partial="corrections")


@require_GET
def session_log_estimates(request: HttpRequest, pk: int) -> HttpResponse:
    """What the session did to estimates; also the panel of its page that follows a moment after a set is saved."""
    log = get_session_log_or_404(request, pk)
    taught = selectors.estimate_changes(log, selectors.exercises_of(log))
    context = {"log": log, "client": log.client, "estimates": taught}
    return render_page(request, "logs/session_log_estimates.html", context, partial="taught")


@logging_view
@require_POST
def session_log_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct day, name and place, minutes, rating, note, or the reason it was skipped."""
    log = get_session_log_or_404(request, pk)
    form = head_form(request, log, request.POST)
    if form.is_valid():
        values = dict(form.cleaned_data)
        version = values.pop("version")
        try:
            services.edit_session_log(
                by=writer_of(request), session_log=log, version=version, values=taken(request.POST, values),
                now=timezone.now(),
            )  # fmt: skip
            messages.success(request, "Saved.")
            return redirect("logs:session_log_detail", pk=pk)
        except StaleForm as stale:
            again = head_form(request, log, merged_data(form, request.POST, stale))
            page = selectors.session_page(get_session_log_or_404(request, pk))
            return detail_page(request, page, 409, form=again, clashes=clashes(form, stale))
        except ValidationError as refusal:
            put_errors(form, refusal)
    return detail_page(request, selectors.session_page(log), 422, form=form)


@logging_view
@require_POST
def session_log_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo the last change to this log; undoing its making takes it away."""
    log = get_session_log_or_404(request, pk)
    try:
        act = services.undo_session_log(by=writer_of(request), session_log=log)
        messages.success(request, f"{act.label}." if act else "Nothing is left to undo.")
    except UndoConflict as conflict:
        messages.error(request, str(conflict))
    if selectors.log_by_key(log.client, log.key) is None:
        return redirect("logs:client_sessions", pk=log.client_id)
    return redirect("logs:session_log_detail", pk=pk)
