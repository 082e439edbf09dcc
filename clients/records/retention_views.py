"""Whether data stay: who is to be asked about, the answer, and after how many months the desk asks."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients.doors import get_client_or_404
from clients.forms.fields import put_errors
from clients.records import retention
from clients.records.forms import KeepForm, RetentionForm
from clients.services import keep_client_data, set_retention_months
from coachdesk.practice.doors import owner_of, writer_of
from coachdesk.practice.models import Membership


@require_GET
def retention_list(request: HttpRequest) -> HttpResponse:
    """Clients past the practice's months, with two ways out for each."""
    by = writer_of(request)
    return _list(request, by, RetentionForm(initial={"months": by.practice.retention_months}))


@require_POST
def retention_edit(request: HttpRequest) -> HttpResponse:
    """Set after how many months the desk asks."""
    by, form = owner_of(request), RetentionForm(request.POST)
    if not form.is_valid():
        return _list(request, by, form, 422)
    set_retention_months(by=by, now=timezone.now(), **form.cleaned_data)
    messages.success(request, f"The desk asks after {form.cleaned_data['months']} months.")
    return redirect("clients:retention_list")


@require_http_methods(["GET", "POST"])
def client_keep(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a client's data, with a reason and a day to ask again."""
    client = get_client_or_404(request, pk)
    by, form = writer_of(request), KeepForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            review = keep_client_data(by=by, client=client, now=timezone.now(), **form.cleaned_data)
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            said = f"The data of {client.name} stay. The desk asks again from {review.again_on:%d %b %Y}."
            messages.success(request, said)
            return redirect("clients:retention_list")
    context = {"client": client, "form": form, "review": retention.retention_review(client)}
    return render(request, "clients/client_keep.html", context, status=422 if form.errors else 200)


def _list(request: HttpRequest, by: Membership, form: RetentionForm, status: int = 200) -> HttpResponse:
    rows = retention.retention_rows(by, timezone.now())
    context = {"rows": rows, "most": retention.MOST_ROWS, "months": by.practice.retention_months, "form": form}
    return render(request, "clients/retention_list.html", context, status=status)
