"""Choosing a file of sets, matching and looking at what it would do, doing it, and taking it back."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from coachdesk.practice.tape import UndoConflict, undo
from programs.intake.forms import UploadForm
from programs.intake.reading import NoTableError, Table, heading_of, read_table
from programs.logs.intake.columns import COLUMNS, check, example_csv, guess, heading_key, unit_of
from programs.logs.intake.days import ORDERS
from programs.logs.intake.doors import get_log_import_or_404
from programs.logs.intake.forms import PreviewForm, kept_answers, matching
from programs.logs.intake.plan import Plan, make_plan
from programs.logs.intake.selectors import import_page, kept_of, latest_imports
from programs.logs.intake.services import Moved, import_logs
from programs.logs.intake.sessions import settle
from programs.logs.intake.work import begin
from programs.selectors import exercise_choices

DAMAGED = "The file kept on this page is damaged; choose the file again."
SHOWN = 200
TEMPLATE = "logs/log_import.html"


@dataclass(frozen=True)
class Looked:
    """A file as it was read: its heading with the columns chosen, and the plan or why there is none."""

    heading: list[str]
    chosen: list[str]
    table: Table | None = None
    plan: Plan | None = None
    problem: str = ""


@require_http_methods(["GET", "POST"])
def log_import(request: HttpRequest) -> HttpResponse:
    """First the file, then a page with what it would do, then the doing; nothing is written before."""
    writer_of(request)
    if request.method != "POST":
        return _page(request, UploadForm())
    if "packed" not in request.POST:
        upload = UploadForm(request.POST, request.FILES)
        if not upload.is_valid():
            return _page(request, upload, status=422)
        kept = {name: upload.cleaned_data[name] for name in ("packed", "encoding", "source")}
        return _preview(request, PreviewForm(kept), fresh=True)
    form = PreviewForm(request.POST)
    return (
        _preview(request, form, fresh=False) if form.is_valid() else _page(request, UploadForm(), 422, problem=DAMAGED)
    )


@require_GET
def log_import_example(request: HttpRequest) -> HttpResponse:
    """An example file to begin from."""
    desk_of(request)
    headers = {"Content-Disposition": 'attachment; filename="sets-example.csv"'}
    return HttpResponse(example_csv().encode("utf-8-sig"), content_type="text/csv; charset=utf-8", headers=headers)


def _page(request: HttpRequest, form: Any, status: int = 200, **more: Any) -> HttpResponse:
    context = {"form": form, "columns": COLUMNS, "latest": latest_imports(desk_of(request)), **more}
    return render(request, TEMPLATE, context, status=status)


def _look(request: HttpRequest, form: PreviewForm) -> Looked:
    by, data = writer_of(request), form.cleaned_data
    kept = kept_of(by)
    heading = heading_of(data["text"])
    chosen = form.columns(len(heading)) or guess(heading, kept.columns)
    try:
        table = read_table(data["text"], data["encoding"], header=lambda _: check(chosen), holds="set")
    except NoTableError as problem:
        return Looked(heading, chosen, problem=str(problem))
    answers = kept_answers(form.answers, kept.words)
    plan = make_plan(table, by=by, now=timezone.now(), answers=answers, unit=unit_of(heading, chosen))
    settle(plan)
    return Looked(heading, chosen, table, plan)


def _preview(request: HttpRequest, form: PreviewForm, *, fresh: bool) -> HttpResponse:
    """What the file would do, or what stands against it; or the doing, when that was pressed."""
    if not form.is_valid():
        return _page(request, UploadForm(), 422, problem=DAMAGED)
    try:
        seen = _look(request, form)
    except NoTableError as problem:
        return _page(request, UploadForm(), 422, problem=str(problem))
    moved = False
    if seen.plan is not None and not fresh and request.POST.get("do") in ("import", "skip"):
        try:
            return _import(request, form, seen, seen.plan)
        except Moved:
            moved = True
            settle(seen.plan)
        except ValidationError as problem:
            messages.error(request, " ".join(problem.messages))
    return _shown(request, form, seen, fresh=fresh, moved=moved)


def _import(request: HttpRequest, form: PreviewForm, seen: Looked, plan: Plan) -> HttpResponse:
    columns = {heading_key(cell): name for cell, name in zip(seen.heading, seen.chosen, strict=True) if name}
    made = import_logs(
        by=writer_of(request), plan=plan, digest=form.cleaned_data["digest"], now=timezone.now(),
        source=form.cleaned_data["source"], skip_bad=request.POST.get("do") == "skip", columns=columns,
    )  # fmt: skip
    return redirect("logs:log_import_detail", pk=made.pk)


def _shown(request: HttpRequest, form: PreviewForm, seen: Looked, *, fresh: bool, moved: bool) -> HttpResponse:
    plan, data = seen.plan, form.cleaned_data
    bad = seen.problem or moved or (plan is not None and (plan.errors or (plan.open_questions and not fresh)))
    carried = {name: data[name] for name in ("packed", "encoding", "source")}
    context: dict[str, Any] = {
        "seen": seen, "plan": plan, "moved": moved, "source": data["source"] or "the file", "orders": ORDERS,
        "matching": matching(seen.heading, seen.chosen), "digest": plan.digest if plan else "",
        "carried": PreviewForm(initial={**carried, "digest": plan.digest if plan else ""}),
        "exercises": exercise_choices(desk_of(request)) if plan and plan.words else [],
    }  # fmt: skip
    if plan is not None:
        context |= {
            "counts": plan.counts, "errors": plan.errors[:SHOWN], "error_count": len(plan.errors),
            "lines": [line for line in plan.lines if line.state != "same"][:SHOWN],
        }  # fmt: skip
    return _page(request, UploadForm(), (409 if moved else 422) if bad else 200, **context)


@require_GET
def log_import_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """What was read in, and how far the working out is; asked every second while it runs."""
    page = import_page(get_log_import_or_404(request, pk), timezone.now())
    return render_page(request, "logs/log_import_detail.html", {"page": page, "row": page.row}, partial="progress")


@require_POST
def log_import_continue(request: HttpRequest, pk: int) -> HttpResponse:
    """Go on with working out what follows."""
    row = get_log_import_or_404(request, pk)
    writer_of(request)
    begin(row.pk)
    return redirect("logs:log_import_detail", pk=pk)


@require_POST
def log_import_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the whole import back."""
    row, by = get_log_import_or_404(request, pk), writer_of(request)
    try:
        if row.act is None:
            messages.info(request, "There is nothing to take back.")
        else:
            undo(row.act, by=by)
            messages.success(request, "Taken back.")
    except UndoConflict as conflict:
        messages.error(request, str(conflict))
    return redirect("logs:log_import_detail", pk=pk)
