"""Swapping an exercise or a scheme, and choosing what may stand in for an exercise."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from clients.selectors import today_for
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from programs import selectors, services
from programs.arrange.swap import stand_ins, swap
from programs.arrange.swap_form import SwapForm
from programs.arrange.views.progression import NOT_CARRIED, seen, written
from programs.doors import get_planned_exercise_or_404
from programs.selectors.editor import chosen_client
from programs.views.editor_page import back_to


@require_http_methods(["GET", "POST"])
def planned_exercise_swap(request: HttpRequest, pk: int) -> HttpResponse:
    """Another exercise or scheme from a week on: choose, see every cell, write."""
    planned = get_planned_exercise_or_404(request, pk)
    desk, session = writer_of(request), planned.session
    program = session.block.program
    if request.method == "POST" and request.POST.get("at") == "once":
        return _swap_here(request, pk)
    view, on = seen(request, desk, program)
    asked = (request.POST if request.method == "POST" else request.GET).dict()
    initial = {"from_week": session.week_no, "scope": "exercise", **{k: v for k, v in asked.items() if v}}
    form = SwapForm(
        asked if "show" in asked or request.method == "POST" else None, planned=planned, weeks=len(view.weeks),
        exercises=selectors.visible_exercises(desk).order_by("folded", "id"),
        schemes=selectors.visible_schemes(desk), initial=initial,
    )  # fmt: skip
    context: dict[str, Any] = {
        "program": program, "planned": planned, "session": session, "form": form, "client": view.client,
        "carried": [(name, value) for name, value in asked.items() if name not in NOT_CARRIED],
    }  # fmt: skip
    status = 200
    if form.is_bound and form.is_valid():
        preview, label = swap(view, form.cleaned_data, on=on)
        if request.method == "POST":
            if written(request, desk, program, preview, label):
                return back_to(request, program, session=session.pk, anchor=f"row-{pk}")
            status = 409
        context |= {"preview": preview, "label": label, "moved": status == 409}
    elif form.is_bound:
        status = 422
    return render_page(request, "programs/planned_exercise_swap.html", context, status=status)


def _swap_here(request: HttpRequest, pk: int) -> HttpResponse:
    """One exercise for another in this one place, without looking first; undo takes it back."""
    planned = get_planned_exercise_or_404(request, pk)
    text = request.POST.get("exercise", "")
    wanted = int(text) if text.isascii() and text.isdigit() and len(text) < 19 else 0
    name = planned.exercise.name
    try:
        row = services.swap_exercise(by=writer_of(request), planned=planned, exercise_id=wanted)
    except ValidationError as wrong:
        messages.error(request, " ".join(wrong.messages))
    else:
        load = " Its fixed load does not go over: reps and RIR decide it now." if row.scheme != planned.scheme else ""
        messages.success(request, f"{row.exercise.name} stands in for {name}.{load}")
    return back_to(request, planned.session.block.program, session=planned.session_id, anchor=f"row-{pk}")


@require_GET
def planned_exercise_substitutes(request: HttpRequest, pk: int) -> HttpResponse:
    """What may stand in for an exercise where it stands, best first, with the reason and what it lacks."""
    planned = get_planned_exercise_or_404(request, pk)
    desk, session = desk_of(request), planned.session
    program, now = session.block.program, timezone.now()
    client = chosen_client(desk, program, request.GET.get("for"))
    on = today_for(client, now) if client else now.date()
    others = list(selectors.visible_exercises(desk).prefetch_related("muscles"))
    context = {
        "program": program, "planned": planned, "session": session, "client": client,
        "place": session.place or (client.place if client else None),
        "stands": stand_ins(planned, others, client=client, on=on),
    }  # fmt: skip
    return render_page(request, "programs/planned_exercise_substitutes.html", context)
