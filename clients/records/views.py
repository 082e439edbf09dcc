"""A client's data as a whole: erasing it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from clients.doors import get_client_or_404
from clients.forms.fields import put_errors
from clients.records import selectors, services
from clients.records.forms import EraseForm
from coachdesk.practice.doors import writer_of

CLEAN = "The client is erased, with everything about them."
TRACES = (
    "The client is erased. The database's file could not be cleaned just now: traces may lie in it until"
    " 'manage.py erase_again' has run."
)


@require_http_methods(["GET", "POST"])
def client_erase(request: HttpRequest, pk: int) -> HttpResponse:
    """What would go, and the erasing once the name is typed. Nothing brings it back."""
    client = get_client_or_404(request, pk)
    by = writer_of(request)
    form = EraseForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            clean = services.erase_client(by=by, client=client, now=timezone.now(), **form.cleaned_data)
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, CLEAN if clean else TRACES)
            return redirect("clients:client_list")
    context = {"client": client, "form": form, "kinds": selectors.kind_counts(client)}
    return render(request, "clients/client_erase.html", context, status=422 if form.errors else 200)
