"""Changing what is planned: sessions and their exercises."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_POST

from clients.forms.fields import put_errors
from clients.selectors import visible_places
from coachdesk import engine
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from coachdesk.practice.merge import StaleEdit
from programs import selectors, services
from programs.doors import get_planned_exercise_or_404, get_program_or_404, get_session_or_404
from programs.forms import ExerciseAddForm, ExerciseRowForm, SessionEditForm, SessionForm
from programs.selectors.editor import Typed
from programs.views.editor_page import back_to, editor_response, page_number, row_response


@require_POST
def session_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a session to a week."""
    program = get_program_or_404(request, pk)
    form = SessionForm(request.POST)
    if form.is_valid():
        try:
            made = services.add_session(by=writer_of(request), program=program, **form.cleaned_data)
            return back_to(request, program, session=made.pk, anchor="session")
        except ValidationError as wrong:
            put_errors(form, wrong)
    week = page_number(request, "week_no")
    return editor_response(request, program, status=422, week=week, forms={"session_new": form})


@require_http_methods(["GET", "POST"])
def session_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Rename or move a session, change its place or its note."""
    session = get_session_or_404(request, pk)
    desk = writer_of(request)
    initial = {
        "name": session.name, "week_no": session.week_no, "day": session.day, "place": session.place_id,
        "note": session.note, "version": session.version,
    }  # fmt: skip
    form = SessionEditForm(request.POST or None, places=visible_places(desk), initial=initial)
    context = {"form": form, "session": session, "program": session.block.program}
    status = 200
    if request.method == "POST" and form.is_valid():
        values = dict(form.cleaned_data)
        version, place = values.pop("version"), values.pop("place")
        values["place_id"] = place.pk if place else None
        try:
            services.edit_session(by=desk, session=session, version=version, values=values)
            return back_to(request, session.block.program, session=session.pk, anchor="session")
        except StaleEdit as stale:
            context |= {"conflicts": stale.conflicts, "current": stale.row}
            status = 409
        except ValidationError as wrong:
            put_errors(form, wrong)
    status = 422 if form.errors else status
    return render_page(request, "programs/session_edit.html", context, status=status)


@require_POST
def session_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a planned session."""
    session = get_session_or_404(request, pk)
    program, week = session.block.program, session.week_no
    services.remove_session(by=writer_of(request), session=session)
    messages.success(request, f"{session.name}, week {week}, is deleted. Undo brings it back.")
    return back_to(request, program, week=week, closed=True)


@require_POST
def exercise_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add an exercise to a session."""
    session = get_session_or_404(request, pk)
    desk, program = desk_of(request), session.block.program
    unit = selectors.unit_of(program, desk, request.POST.get("for"))
    form = ExerciseAddForm(request.POST, exercises=selectors.visible_exercises(desk), unit=unit)
    if form.is_valid():
        chosen, scheme = form.cleaned_data["exercise"], form.cleaned_data["scheme"]
        try:
            made = services.add_exercise(by=writer_of(request), session=session, exercise=chosen, scheme=scheme)
            return back_to(request, session.block.program, session=session.pk, anchor=f"row-{made.pk}")
        except ValidationError as wrong:
            put_errors(form, wrong)
    return editor_response(request, session.block.program, status=422, session=session.pk, forms={"exercise_add": form})


@require_POST
def planned_exercise_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change one row; what cannot be read or clashes with somebody's change comes back as typed."""
    planned = get_planned_exercise_or_404(request, pk)
    session, program = planned.session, planned.session.block.program
    unit = selectors.unit_of(program, desk_of(request), request.POST.get("for"))
    form = ExerciseRowForm(request.POST, unit=unit, stored=engine.scheme_from_json(planned.scheme))
    typed = Typed(planned.pk, {name: request.POST.get(name, "") for name in form.fields if name in request.POST})
    if not form.is_valid():
        typed.errors = {name.strip("_"): " ".join(map(str, errors)) for name, errors in form.errors.items()}
        return row_response(request, session, planned.pk, status=422, typed=typed)
    data = form.cleaned_data
    chosen = data["exercise"] or planned.exercise_id
    if not selectors.visible_exercises(desk_of(request)).filter(pk=chosen).exists():
        typed.errors = {"exercise": "This exercise has been deleted; choose another one."}
        return row_response(request, session, planned.pk, status=422, typed=typed)
    try:
        services.edit_exercise(
            by=writer_of(request), planned=planned, version=data["version"], scheme=data["scheme"], unit=unit,
            exercise_id=chosen, cue=form.text("cue"), private_note=form.text("private_note"), group=form.text("group"),
        )  # fmt: skip
    except StaleEdit as stale:
        typed.conflicts = stale.conflicts
        # The next save is made knowingly, against what the other person wrote.
        typed.values["version"] = str(stale.row.version)  # type: ignore[attr-defined]
        return row_response(request, session, planned.pk, status=409, typed=typed)
    except engine.FieldErrors as wrong:
        typed.errors = wrong.errors
        return row_response(request, session, planned.pk, status=422, typed=typed)
    return row_response(request, session, planned.pk)


@require_POST
def planned_exercise_cue(request: HttpRequest, pk: int) -> HttpResponse:
    """Carry a row's cue over to the same exercise in the weeks after it."""
    planned = get_planned_exercise_or_404(request, pk)
    count = services.carry_cue(by=writer_of(request), planned=planned)
    messages.success(request, f"The cue of {planned.exercise.name} now stands in {count} later rows as well.")
    return back_to(request, planned.session.block.program, session=planned.session_id, anchor=f"row-{pk}")


@require_POST
def planned_exercise_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an exercise out of its session."""
    planned = get_planned_exercise_or_404(request, pk)
    services.remove_exercise(by=writer_of(request), planned=planned)
    messages.success(request, f"{planned.exercise.name} is out of {planned.session.name}. Undo brings it back.")
    return back_to(request, planned.session.block.program, session=planned.session_id, anchor="session")
