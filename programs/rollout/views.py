"""Switchboards for handing a template to many: choosing, progress, stopping, going on, taking back."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients.selectors import today_for
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from coachdesk.practice.tape import UndoConflict
from programs.rollout.doors import get_rollout_or_404
from programs.rollout.forms import chosen_ids
from programs.rollout.pages import ChoosePage, choose_page, rollout_page
from programs.rollout.worker import begin
from programs.services.rollouts import (
    CopiesChanged,
    cancel_rollout,
    continue_rollout,
    hand_out,
    running_rollout,
    take_back,
)
from programs.versions.doors import get_template_or_404


@require_http_methods(["GET", "POST"])
def program_assign_many(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose clients by filter, see what would be flagged for each, and give them the template."""
    template = get_template_or_404(request, pk)
    desk, now = writer_of(request), timezone.now()
    today = today_for(desk.practice, now)
    ticked = chosen_ids(request.POST.getlist("client")) if request.method == "POST" else None
    page = choose_page(template, desk, today, request.GET, ticked)
    problem = ""
    if ticked is not None:
        running = running_rollout(desk, template)
        if running is not None:
            messages.info(request, "This template is being handed out already; here is how far it is.")
            return redirect("programs:rollout_detail", pk=running.pk)
        try:
            rollout = hand_out(
                by=desk, program=template, version=page.version, takes_present=page.takes_present, client_ids=ticked,
                start_on=page.form.start_on, today=today, now=now,
            )  # fmt: skip
        except ValidationError as wrong:
            problem = " ".join(wrong.messages)
        else:
            begin(rollout)
            return redirect("programs:rollout_detail", pk=rollout.pk)
    return _choose(request, template, page, problem)


def _choose(request: HttpRequest, template: object, page: ChoosePage, problem: str) -> HttpResponse:
    context = {"program": template, "page": page, "problem": problem, "address": _address(request)}
    return render_page(
        request, "programs/program_assign_many.html", context, partial="candidates", status=422 if problem else 200
    )


def _address(request: HttpRequest) -> str:
    asked = request.GET.copy()
    asked.pop("tick", None)
    return asked.urlencode()


@require_GET
def rollout_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """How far it is; asked every second while it runs."""
    return _progress(request, pk)


def _progress(request: HttpRequest, pk: int, *, status: int = 200, kept: dict[int, str] | None = None) -> HttpResponse:
    rollout = get_rollout_or_404(request, pk)
    page = rollout_page(rollout, desk_of(request), timezone.now(), kept=kept)
    context = {"page": page, "rollout": rollout, "program": rollout.program}
    return render_page(request, "programs/rollout_detail.html", context, partial="progress", status=status)


@require_POST
def rollout_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop it; what is written is taken back unless it is to be kept."""
    rollout, keep = get_rollout_or_404(request, pk), request.POST.get("do") == "keep"
    cancel_rollout(by=writer_of(request), rollout=rollout, keep=keep, now=timezone.now())
    messages.success(request, "Stopped; the copies made so far stay." if keep else "Stopped and taken back.")
    return redirect("programs:rollout_detail", pk=pk)


@require_POST
def rollout_continue(request: HttpRequest, pk: int) -> HttpResponse:
    """Go on with what is left."""
    rollout = get_rollout_or_404(request, pk)
    writer_of(request)
    begin(continue_rollout(rollout=rollout, now=timezone.now()))
    return redirect("programs:rollout_detail", pk=pk)


@require_POST
def rollout_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take all copies back; when some were changed since, list them and offer to take back the others."""
    rollout = get_rollout_or_404(request, pk)
    try:
        if rollout.act is None:
            messages.info(request, "There is nothing to take back.")
        else:
            but_changed = request.POST.get("do") == "rest"
            take_back(rollout.act, writer_of(request), but_changed=but_changed)
            messages.success(request, "Taken back.")
    except CopiesChanged as conflict:
        return _progress(request, pk, status=409, kept=conflict.kept)
    except UndoConflict as conflict:
        messages.error(request, str(conflict))
    return redirect("programs:rollout_detail", pk=pk)
