"""Filling in a progression over weeks: choose, see every cell, write."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from clients.selectors import today_for
from coachdesk.htmx import render_page
from coachdesk.practice.doors import writer_of
from coachdesk.practice.models import Membership
from programs import selectors
from programs.arrange.kinds import KINDS
from programs.arrange.lines import line_of, lines_of
from programs.arrange.preview import Preview
from programs.arrange.progression import days_away, progression
from programs.arrange.progression_form import FIELDS_OF, START, ProgressionForm
from programs.arrange.services import PlanMovedError, change_exercises
from programs.arrange.views.placing import counted
from programs.doors import get_program_or_404
from programs.models import Program
from programs.selectors.editor import chosen_client
from programs.selectors.prescription import ProgramView
from programs.selectors.programs import this_week
from programs.views.editor_page import back_to

PAGE = "programs/program_progression.html"
NOT_CARRIED = ("csrfmiddlewaretoken", "digest", "show")


def seen(request: HttpRequest, desk: Membership, program: Program) -> tuple[ProgramView, date]:
    """The programme as prescribed for the client it is looked at for, and today's date there."""
    client = chosen_client(desk, program, request.POST.get("for") or request.GET.get("for"))
    now = timezone.now()
    on = today_for(client, now) if client else now.date()
    return selectors.program_view(program, client=client, on=on), on


def written(request: HttpRequest, desk: Membership, program: Program, preview: Preview, label: str) -> bool:
    """Write what was shown, if it still is what would be written."""
    if request.POST.get("digest") != preview.digest:
        return False
    try:
        changes = {cell.placed.pk: (cell.was, cell.now) for cell in preview.cells}
        count = change_exercises(by=desk, program=program, label=label, changes=changes)
    except PlanMovedError:
        return False
    messages.success(request, f"{label}: {counted(count, 'cell')} changed. Undo takes all of them back.")
    return True


@require_http_methods(["GET", "POST"])
def program_progression(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose a progression, see every cell that would change, and write it as one act."""
    program = get_program_or_404(request, pk)
    desk = writer_of(request)
    view, on = seen(request, desk, program)
    form = _form(request, view, on)
    context: dict[str, Any] = {
        "program": program, "form": form, "client": view.client, "kinds": KINDS, "kind": form.kind_code,
        "own_fields": FIELDS_OF[form.kind_code],
        "carried": [(name, value) for name, value in _asked(request).items() if name not in NOT_CARRIED],
    }  # fmt: skip
    status = 200
    if form.is_bound and form.is_valid():
        preview, label = progression(view, form.cleaned_data, on=on)
        if request.method == "POST":
            if written(request, desk, program, preview, label):
                return back_to(request, program, week=form.cleaned_data["from_week"])
            status = 409
        context |= {"preview": preview, "label": label, "moved": status == 409}
    elif form.is_bound:
        status = 422
    return render_page(request, PAGE, context, status=status)


def _asked(request: HttpRequest) -> dict[str, str]:
    return (request.POST if request.method == "POST" else request.GET).dict()


def _form(request: HttpRequest, view: ProgramView, on: date) -> ProgressionForm:
    asked = _asked(request)
    kinds = [kind for kind, _, _ in KINDS]
    kind = asked.get("kind") if asked.get("kind") in kinds else kinds[0]
    lines = lines_of(view)
    choices = [(cells[0].pk, f"{cells[0].view.row.exercise.name}, {cells[0].words}") for cells in lines.values()]
    planned = asked.get("planned", "")
    own = line_of(lines, int(planned)) if planned.isdecimal() and len(planned) < 19 else None
    if own is not None:
        asked["planned"] = str(lines[own][0].pk)
    weeks = len(view.weeks)
    first = max(1, min(this_week(view.program, on), weeks)) if view.client else 1
    initial: dict[str, Any] = {"from_week": first, "to_week": weeks, "scope": "exercise" if own else "program"}
    initial |= START.get(kind or "", {})
    if kind == "layoff" and view.client:
        initial["days_away"] = days_away(view.client, on)
    bound = asked if "show" in asked or request.method == "POST" else None
    given = {name: value for name, value in asked.items() if value}
    return ProgressionForm(
        {**bound, "kind": kind} if bound is not None else None, kind=kind or "", weeks=weeks, lines=choices,
        initial={**initial, **given, "kind": kind},
    )  # fmt: skip
