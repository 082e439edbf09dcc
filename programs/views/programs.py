"""The list of programmes, the editor's page, and what concerns a programme as a whole."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients.forms.fields import put_errors
from clients.selectors import today_for, visible_clients
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from coachdesk.practice.merge import StaleEdit
from coachdesk.practice.tape import UndoConflict, next_redo, next_undo, undo, undo_back_to, undo_stack
from coachdesk.templatetags.desk import day
from programs import selectors, services
from programs.doors import get_program_or_404
from programs.forms import AssignForm, ProgramEditForm, ProgramForm, WhyForm
from programs.selectors.versions import running_counts
from programs.views.editor_page import back_to, editor_response, page_number, sent, shown_place


@require_GET
def program_list(request: HttpRequest) -> HttpResponse:
    """Templates and clients' programmes."""
    query = request.GET.get("q", "")[:100]
    desk = desk_of(request)
    rows = list(selectors.program_rows(desk, query=query))
    templates = [row for row in rows if row.is_template]
    runs = running_counts(templates, desk, today_for(desk.practice, timezone.now()))
    return render_page(request, "programs/program_list.html", {"programs": rows, "query": query, "runs": runs})


@require_http_methods(["GET", "POST"])
def program_new(request: HttpRequest) -> HttpResponse:
    """Make a template, or a programme for a client."""
    desk = writer_of(request)
    clients = visible_clients(desk).filter(archived_on=None).order_by("folded", "id")
    initial = {"client": request.GET.get("client"), "start_on": timezone.localdate()}
    form = ProgramForm(request.POST or None, clients=clients, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            program = services.create_program(by=desk, today=timezone.localdate(), **form.cleaned_data)
        except ValidationError as wrong:
            put_errors(form, wrong)
        else:
            messages.success(request, f"{program.name} is made. Add its first session.")
            return redirect("programs:program_detail", pk=program.pk)
    status = 422 if form.errors else 200
    return render_page(request, "programs/program_new.html", {"form": form}, status=status)


@require_GET
def program_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """The editor: weeks across, days down, one session open, effects beside it."""
    program = get_program_or_404(request, pk)
    return editor_response(request, program, session=page_number(request, "session"), week=page_number(request, "week"))


@require_http_methods(["GET", "POST"])
def program_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Rename a programme or change its length."""
    program = get_program_or_404(request, pk)
    desk = writer_of(request)
    weeks = selectors.weeks_of(program.blocks.all())
    initial = {"name": program.name, "weeks": weeks, "version": program.version}
    form = ProgramEditForm(request.POST or None, initial=initial)
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            services.edit_program(
                by=desk, program=program, version=form.cleaned_data["version"], values=form.cleaned_data
            )
        except StaleEdit as stale:
            status = 409
            context = {"form": form, "program": program, "conflicts": stale.conflicts, "current": stale.row}
            return render_page(request, "programs/program_edit.html", context, status=status)
        except ValidationError as wrong:
            put_errors(form, wrong)
        else:
            return redirect("programs:program_detail", pk=pk)
    status = 422 if form.errors else status
    return render_page(request, "programs/program_edit.html", {"form": form, "program": program}, status=status)


@require_POST
def program_archive(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a programme away."""
    program = get_program_or_404(request, pk)
    services.archive_program(by=writer_of(request), program=program, today=timezone.localdate())
    messages.success(request, f"{program.name} is archived; its logs are kept.")
    return redirect("programs:program_list")


@require_http_methods(["GET", "POST"])
def program_assign(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a client their own copy from a date."""
    program = get_program_or_404(request, pk)
    desk = writer_of(request)
    clients = visible_clients(desk).select_related("practice", "coach").filter(archived_on=None)
    form = AssignForm(
        request.POST or None, clients=clients.order_by("folded", "id"), initial={"start_on": timezone.localdate()}
    )
    if request.method == "POST" and form.is_valid():
        client, start_on = form.cleaned_data["client"], form.cleaned_data["start_on"]
        try:
            made = services.assign_program(
                by=desk, program=program, client=client, start_on=start_on,
                today=today_for(client, timezone.now()),
            )  # fmt: skip
        except ValidationError as wrong:
            put_errors(form, wrong)
        else:
            messages.success(request, f"{made.name} is {client.name}'s from {day(made.start_on)}.")
            return redirect("programs:program_detail", pk=made.pk)
    context = {"form": form, "program": program}
    return render_page(request, "programs/program_assign.html", context, status=422 if form.errors else 200)


@require_POST
def program_template(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a programme as a template."""
    program = get_program_or_404(request, pk)
    kind = "copy" if program.is_template else "template"
    made = services.save_as_template(by=writer_of(request), program=program, name=f"{program.name}, {kind}"[:120])
    messages.success(request, f"{made.name} is kept among the templates.")
    return redirect("programs:program_detail", pk=made.pk)


def _turn(request: HttpRequest, pk: int, *, back: bool) -> HttpResponse:
    program = get_program_or_404(request, pk)
    subject = services.subject_of(program)
    act = next_undo(program.practice, subject) if back else next_redo(program.practice, subject)
    if act is None:
        messages.info(request, "There is nothing to undo." if back else "There is nothing to redo.")
    else:
        try:
            done = undo(act, by=writer_of(request))
            messages.success(request, f"{done.label}.")
        except UndoConflict as conflict:
            messages.error(request, str(conflict))
    return back_to(request, program)


@require_POST
def program_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back the latest act on this programme, or with `back_to` everything from that act on."""
    if "back_to" not in request.POST:
        return _turn(request, pk, back=True)
    program = get_program_or_404(request, pk)
    wanted = page_number(request, "back_to") or 0
    act = undo_stack(program.practice, services.subject_of(program)).filter(pk=wanted).first()
    try:
        if act is None:
            raise UndoConflict("That change is not on this programme's list any more; nothing was taken back.")
        done = undo_back_to(act, by=writer_of(request))
        messages.success(request, f"{len(done)} changes are taken back. Redo brings them again, one by one.")
    except UndoConflict as conflict:
        messages.error(request, str(conflict))
    return back_to(request, program)


@require_POST
def program_redo(request: HttpRequest, pk: int) -> HttpResponse:
    """Do again what was taken back last."""
    return _turn(request, pk, back=False)


@require_POST
def flag_apply(request: HttpRequest, pk: int) -> HttpResponse:
    """Apply one remedy of a flag."""
    program = get_program_or_404(request, pk)
    flag = selectors.flag_of(desk_of(request), program, sent(request), now=timezone.now(), shown=shown_place(request))
    try:
        if flag is None:
            raise ValidationError("This flag is gone: the plan has changed since the page was drawn.")
        index = page_number(request, "remedy", least=0)
        label = services.apply_remedy(
            by=writer_of(request), program=program, flag=flag, index=-1 if index is None else index
        )
        messages.success(request, f"Applied: {label}. Undo takes it back.")
    except ValidationError as wrong:
        messages.error(request, " ".join(wrong.messages))
    return back_to(request, program)


@require_POST
def flag_dismiss(request: HttpRequest, pk: int) -> HttpResponse:
    """Set a flag aside with a reason."""
    program = get_program_or_404(request, pk)
    form = WhyForm(request.POST)
    flag = selectors.flag_of(desk_of(request), program, sent(request), now=timezone.now(), shown=shown_place(request))
    try:
        if flag is None:
            raise ValidationError("This flag is gone: the plan has changed since the page was drawn.")
        if not form.is_valid():
            raise ValidationError([words for errors in form.errors.values() for words in errors])
        why = form.cleaned_data["why"]
        services.dismiss_flag(by=writer_of(request), program=program, flag=flag, why=why, now=timezone.now())
        messages.success(request, "The flag is set aside; it returns when its numbers change.")
    except ValidationError as wrong:
        messages.error(request, " ".join(wrong.messages))
    return back_to(request, program)
