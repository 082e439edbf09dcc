"""One set in its row: logging it, correcting it, clearing it."""

from dataclasses import replace
from urllib.parse import quote

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST
from django_htmx.http import trigger_client_event

from clients.forms.fields import put_errors
from clients.services.stale import StaleForm
from coachdesk.htmx import render_page, wants_partial
from coachdesk.practice.doors import logging_view, writer_of
from programs.logs import selectors, services
from programs.logs.doors import get_session_log_or_404, get_set_log_or_404
from programs.logs.forms import SetForm
from programs.logs.mapping import done_otherwise, set_key
from programs.logs.models import SessionLog, SetLog
from programs.logs.selectors.session_page import cell_texts, conflict_words, step_of
from programs.logs.views.detail import detail_page

SETS_CHANGED = "sets-changed"  # the page's estimates listen for it


def _answer(request: HttpRequest, log: SessionLog, slot: str, *, status: int = 200, **change: object) -> HttpResponse:
    """The row (and what follows from it) to htmx; the page to everybody else."""
    page = selectors.session_page(log)
    row = page.row(slot)
    if row is None:
        # The row is gone, and with it what numbers the others: the whole page says it.
        if wants_partial(request):
            return HttpResponse(headers={"HX-Refresh": "true"})
        return redirect("logs:session_log_detail", pk=log.pk)
    if change:
        row = replace(row, **change)  # type: ignore[arg-type]
    if wants_partial(request):
        context = {"row": row, "page": page, "log": log, "client": log.client, "answers": True}
        if status == 200 and "slot" in request.POST:
            context["further"] = page.row_to_type(slot)
        response = render_page(request, "logs/_set_answer.html", context, status=status)
        return trigger_client_event(response, SETS_CHANGED) if status == 200 else response
    if status == 200:
        return redirect(f"{reverse('logs:session_log_detail', args=[log.pk])}#{quote(row.id)}")
    return detail_page(request, page.with_row(row), status)


def _refused(request: HttpRequest, log: SessionLog, slot: str, form: SetForm, **more: object) -> HttpResponse:
    change = {"typed": form.typed, "errors": form.found, "asks": form.asks, **more}
    return _answer(request, log, slot, status=422, **change)


def _no_such_set(request: HttpRequest, log: SessionLog) -> HttpResponse:
    """422 in words above the page: there is no row to say it in."""
    words = "Nothing was saved: this session's sheet has no such set. Load the page again; it shows the sets there are."
    messages.error(request, words)
    if not wants_partial(request):
        return detail_page(request, selectors.session_page(log), 422)
    response = render_page(request, "components/_messages.html", status=422)
    response["HX-Retarget"], response["HX-Reswap"] = "#desk-message", "innerHTML"
    return response


@logging_view
@require_POST
def set_log(request: HttpRequest, pk: int) -> HttpResponse:
    """Log one set of a session that was left out when the session was saved."""
    log = get_session_log_or_404(request, pk)
    slot = request.POST.get("slot", "")[:40]
    step = step_of(log, slot) or selectors.extra_step_of(log, slot)
    if step is None:
        return _no_such_set(request, log)
    form = SetForm(
        request.POST, unit=step.unit, rep_kind=step.rep_kind, planned=step.load, body=step.body_load,
        on_body=step.on_body, settings=step.settings, setting=step.setting, needs_load=step.needs_load,
    )  # fmt: skip
    if form.is_valid() and not form.blank:
        data = form.cleaned_data
        done = done_otherwise(step, load=data["load"], reps=data["reps"], rir=data["rir"], setting=form.setting)
        try:
            services.log_set(
                by=writer_of(request),
                session_log=log,
                key=set_key(log.key, step.slot),
                step=done,
                now=timezone.now(),
            )
        except services.KeyReused as reused:
            form.add_error(None, f"{reused} Correct that row instead.")
        except ValidationError as refusal:
            put_errors(form, refusal)
    if form.errors:
        return _refused(request, log, step.slot, form)
    return _answer(request, log, step.slot)


@logging_view
@require_http_methods(["GET", "POST"])
def set_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct one set; a row cleared altogether was not done and is taken out."""
    row = get_set_log_or_404(request, pk)
    if request.method == "GET":
        return _answer(request, row.session_log, _slot(row))
    step = step_of(row.session_log, _slot(row))
    form = SetForm(
        request.POST, unit=row.unit, rep_kind=row.rep_kind, planned=row.planned_load, before=row.load,
        body=row.body_load, on_body=row.on_body,
        settings=step.settings if step else selectors.SettingChoices(row.session_log, [row]).of_set(row),
        setting=step.setting if step else "",
    )  # fmt: skip
    try:
        if form.is_valid():
            _save(request, row, form)
    except StaleForm as stale:
        change = {"typed": cell_texts(stale.merged), "conflicts": conflict_words(stale)}
        return _answer(request, row.session_log, _slot(row), status=409, **change)
    except ValidationError as refusal:
        put_errors(form, refusal)
    if form.errors:
        return _refused(request, row.session_log, _slot(row), form)
    return _answer(request, row.session_log, _slot(row))


def _slot(row: SetLog) -> str:
    return f"{row.position}-{row.set_no}-{row.step_no}-{row.side}"


def _save(request: HttpRequest, row: SetLog, form: SetForm) -> None:
    data = form.cleaned_data
    by, now = writer_of(request), timezone.now()
    if form.blank:
        services.remove_set(by=by, set_log=row, version=data["version"], now=now)
        return
    values = {name: data[name] for name in ("load", "reps", "rir")}
    if form.settings:
        values["setting"] = form.setting
    services.edit_set(by=by, set_log=row, version=data["version"], values=values, now=now)
