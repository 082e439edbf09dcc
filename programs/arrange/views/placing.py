"""Putting exercises, sessions and weeks in another place."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_POST

from clients.forms.fields import put_errors
from coachdesk.htmx import render_page, wants_partial
from coachdesk.practice.doors import writer_of
from programs import selectors, services
from programs.arrange.forms import ExercisePlaceForm, SessionPlaceForm, WeekDeleteForm, WeekPlaceForm
from programs.doors import get_planned_exercise_or_404, get_program_or_404, get_session_or_404
from programs.models import PlannedExercise, Program
from programs.views.editor_page import back_to, editor_response, page_number


def refused(request: HttpRequest, program: Program, form: Form, name: str, **wanted: Any) -> HttpResponse:
    """The editor with what is wrong said over it; the form keeps what was typed."""
    for words in dict.fromkeys(word for errors in form.errors.values() for word in errors):
        messages.error(request, str(words))
    return editor_response(request, program, status=422, forms={name: form}, **wanted)


def counted(n: int, noun: str = "session") -> str:
    """'1 session', '3 sessions'."""
    return f"{n} {noun}{'' if n == 1 else 's'}"


@require_http_methods(["GET", "POST"])
def planned_exercise_place(request: HttpRequest, pk: int) -> HttpResponse:
    """Move or copy an exercise to a place of a session, or one place up or down."""
    planned = get_planned_exercise_or_404(request, pk)
    desk, program = writer_of(request), planned.session.block.program
    sessions = selectors.sessions_in_order(program)
    form = ExercisePlaceForm(request.POST or None, sessions=sessions, initial={"session": planned.session_id})
    if request.method == "POST" and form.is_valid():
        try:
            said = _place(planned, form.cleaned_data, desk)
            if said:
                messages.success(request, said)
            return back_to(request, program, session=planned.session_id, anchor=f"row-{pk}")
        except ValidationError as wrong:
            put_errors(form, wrong)
    if request.method == "POST" and wants_partial(request):
        return refused(request, program, form, "exercise_place", session=planned.session_id)
    context = {"form": form, "planned": planned, "session": planned.session, "program": program}
    status = 422 if form.errors else 200
    return render_page(request, "programs/planned_exercise_place.html", context, status=status)


def _place(planned: PlannedExercise, data: dict[str, Any], desk: Any) -> str:
    name, there = planned.exercise.name, data["session"] or planned.session
    if data["step"]:
        services.move_exercise(by=desk, planned=planned, up=data["step"] == "up")
        return ""
    made = services.place_exercise(
        by=desk, planned=planned, session=there, position=data["position"], copy=data["copy"]
    )
    if made is None:
        return f"{name} stands there already; nothing changed."
    alone = " It stands on its own there, outside its superset." if planned.group and made.group == "" else ""
    verb = "copied" if data["copy"] else "moved"
    return f"{name} is {verb} to {there.name}, week {there.week_no}.{alone}"


@require_POST
def session_place(request: HttpRequest, pk: int) -> HttpResponse:
    """Move or copy a session to a day of a week."""
    session = get_session_or_404(request, pk)
    program, form = session.block.program, SessionPlaceForm(request.POST)
    if form.is_valid():
        try:
            made = services.place_session(by=writer_of(request), session=session, **form.cleaned_data)
            words = services.DAYS[form.cleaned_data["day"]], form.cleaned_data["week_no"]
            verb = "copied" if form.cleaned_data["copy"] else "moved"
            said = f"{session.name} is {verb} to {words[0]} of week {words[1]}."
            messages.success(request, said if made else f"{session.name} stands there already; nothing changed.")
            return back_to(request, program, anchor="grid-region")
        except ValidationError as wrong:
            put_errors(form, wrong)
    opened = page_number(request, "session")
    return refused(request, program, form, "session_place", session=opened, week=page_number(request, "week"))


@require_POST
def week_place(request: HttpRequest, pk: int) -> HttpResponse:
    """Move or copy a week, in place of others or put in before one."""
    program = get_program_or_404(request, pk)
    form = WeekPlaceForm(request.POST)
    if form.is_valid():
        try:
            messages.success(request, _place_week(program, form, writer_of(request)))
            return back_to(request, program, week=form.cleaned_data["to"], closed=True)
        except ValidationError as wrong:
            put_errors(form, wrong)
    return refused(request, program, form, "week_place", week=page_number(request, "week_no"))


def _place_week(program: Program, form: WeekPlaceForm, desk: Any) -> str:
    data = form.cleaned_data
    act: dict[str, Any] = {"by": desk, "program": program, "week_no": data["week_no"]}
    week, to = f"Week {data['week_no']}", data["to"]
    if data["insert"] and data["copy"]:
        services.insert_copy(**act, to=to)
        return f"A copy of {week.lower()} is week {to} now; the weeks after it come one week later."
    if data["insert"]:
        moved = services.insert_move(**act, to=to)
        return f"{week} is week {to} now." if moved else f"{week} stands there already; nothing changed."
    if data["copy"]:
        replaced: int | None = services.copy_week(**act, to_weeks=form.to_weeks)
    else:
        replaced = services.put_week(**act, to=to)
    if replaced is None:
        return f"{week} stands there already; nothing changed."
    took = f" It took the place of {counted(replaced)}; undo brings them back." if replaced else ""
    return f"{week} is {'copied' if data['copy'] else f'moved to week {to}'}.{took}"


@require_POST
def week_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a week out of the programme, or its sessions out of the week."""
    program = get_program_or_404(request, pk)
    form = WeekDeleteForm(request.POST)
    if form.is_valid():
        week_no, keep = form.cleaned_data["week_no"], form.cleaned_data["keep"]
        remove = services.empty_week if keep else services.delete_week
        try:
            gone = remove(by=writer_of(request), program=program, week_no=week_no)
        except ValidationError as wrong:
            put_errors(form, wrong)
        else:
            took = f" with {counted(gone)}" if gone else ""
            said = f"Week {week_no} is emptied of {counted(gone)}." if keep else f"Week {week_no} is deleted{took}."
            messages.success(request, f"{said} Undo brings it back.")
            return back_to(request, program, week=week_no, closed=True)
    return refused(request, program, form, "week_delete", week=page_number(request, "week_no"))
