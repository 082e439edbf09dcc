"""Choosing a file, looking at what it would do, and doing it."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from clients.selectors import today_for
from coachdesk.practice.doors import desk_of, writer_of
from programs.intake.columns import COLUMNS, example_csv
from programs.intake.forms import ConfirmForm, UploadForm
from programs.intake.plan import Plan, make_plan
from programs.intake.reading import NoTableError, Table, read_table
from programs.intake.services import import_clients

DAMAGED = "The file kept on this page is damaged; choose the file again."
SHOWN_ERRORS = 200
SHOWN_PEOPLE = 200
TEMPLATE = "programs/client_import.html"


@require_http_methods(["GET", "POST"])
def client_import(request: HttpRequest) -> HttpResponse:
    """First the file, then a page with what it would do, then the doing; nothing is written before."""
    writer_of(request)
    if request.method != "POST":
        return _page(request, UploadForm())
    if "packed" in request.POST:
        return _confirm(request)
    form = UploadForm(request.POST, request.FILES)
    return _preview(request, form) if form.is_valid() else _page(request, form, status=422)


@require_GET
def client_import_example(request: HttpRequest) -> HttpResponse:
    """An example file to begin from."""
    desk_of(request)
    headers = {"Content-Disposition": 'attachment; filename="clients-example.csv"'}
    return HttpResponse(example_csv().encode("utf-8-sig"), content_type="text/csv; charset=utf-8", headers=headers)


def _page(request: HttpRequest, form: Any, *, status: int = 200, **more: Any) -> HttpResponse:
    return render(request, TEMPLATE, {"form": form, "columns": COLUMNS, **more}, status=status)


def _planned(request: HttpRequest, data: dict[str, Any]) -> tuple[Table, Plan]:
    table = read_table(data["text"], data["encoding"])
    by = writer_of(request)
    return table, make_plan(table, by=by, today=today_for(by.practice, timezone.now()))


def _preview(request: HttpRequest, form: UploadForm | ConfirmForm, *, status: int = 200, **more: Any) -> HttpResponse:
    """What the file would do, or what stands against it."""
    data = form.cleaned_data
    try:
        table, plan = _planned(request, data)
    except NoTableError as problem:
        upload = UploadForm(request.POST, request.FILES)
        upload.full_clean()
        upload.add_error(None, str(problem))
        return _page(request, upload, status=422)
    if plan.errors:
        shown = {"errors": plan.errors[:SHOWN_ERRORS], "error_count": len(plan.errors)}
        return _page(request, UploadForm(), status=422, table=table, source=data["source"], **shown)
    kept = {name: data[name] for name in ("packed", "encoding", "source")}
    confirm = ConfirmForm(initial={**kept, "digest": plan.digest})
    people = plan.people[:SHOWN_PEOPLE]
    return _page(
        request, UploadForm(), status=status, table=table, plan=plan, people=people, confirm=confirm,
        source=data["source"], **more,
    )  # fmt: skip


def _confirm(request: HttpRequest) -> HttpResponse:
    form = ConfirmForm(request.POST)
    if not form.is_valid():
        return _page(request, UploadForm(), status=422, problem=DAMAGED)
    try:
        _table, plan = _planned(request, form.cleaned_data)
    except NoTableError as problem:
        return _page(request, UploadForm(), status=422, problem=str(problem))
    if plan.errors or plan.digest != form.cleaned_data["digest"]:
        return _preview(request, form, status=409, moved=True)
    source = form.cleaned_data["source"] or "a CSV file"
    try:
        made = import_clients(by=writer_of(request), plan=plan, now=timezone.now(), source=source)
    except ValidationError as problem:
        return _page(request, UploadForm(), status=422, problem=" ".join(problem.messages))
    messages.success(
        request,
        f"{len(plan.new)} clients are added and {plan.lift_count} lifts recorded, for {len(made)} people.",
    )
    return redirect("clients:client_list")
