"""A client's data as a whole: what there is, consent, taking it out, erasing it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients.doors import get_client_or_404
from clients.forms.fields import put_errors
from clients.records import archive, selectors, services, words
from clients.records.forms import ConsentForm, EraseForm
from clients.records.retention import retention_review
from clients.selectors import health_consent, today_for, visible_clients
from clients.services import record_consent
from coachdesk.practice.doors import desk_of, writer_of

CLEAN = "The client is erased, with everything about them."
TRACES = (
    "The client is erased. The database's file could not be cleaned just now: traces may lie in it until"
    " 'manage.py erase_again' has run."
)
WORDS_GONE = "The words of messages, reasons and notes of sessions are removed."
NOT_LISTED = "Nothing was erased: the list of erased clients beside the database cannot be written. Check the disk."


@require_GET
def client_records(request: HttpRequest, pk: int) -> HttpResponse:
    """What the desk holds about a client, and what can be done with it."""
    client = get_client_or_404(request, pk)
    context = {
        "client": client,
        "kinds": selectors.kind_counts(client),
        "consent": health_consent(client),
        "words": words.words_kept(client),
        "review": retention_review(client),
    }
    return render(request, "clients/client_records.html", context)


@require_http_methods(["GET", "POST"])
def client_consent(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep what the client answered when asked whether health notes may be kept."""
    client = get_client_or_404(request, pk)
    by, now = writer_of(request), timezone.now()
    form = ConsentForm(request.POST if request.method == "POST" else None, today=today_for(client, now))
    if request.method == "POST" and form.is_valid():
        try:
            record_consent(by=by, client=client, now=now, **form.answer())
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, "The answer is kept.")
            return redirect("clients:client_records", pk=pk)
    context = {"client": client, "form": form}
    return render(request, "clients/client_consent.html", context, status=422 if form.errors else 200)


@require_POST
def consent_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """The client takes consent back; the health notes go with it when the tick says so."""
    client = get_client_or_404(request, pk)
    erase, by, now = request.POST.get("erase") == "1", writer_of(request), timezone.now()
    services.take_consent_back(by=by, client=client, now=now, erase=erase)
    said = "Consent is withdrawn and the health notes are erased." if erase else "Consent is withdrawn."
    messages.success(request, said)
    return words_erase(request, pk) if request.POST.get("words") == "1" else redirect("clients:client_records", pk=pk)


@require_POST
def words_erase(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the words out of messages, reasons and notes of sessions, once consent is withdrawn."""
    client = get_client_or_404(request, pk)
    try:
        words.erase_words(by=writer_of(request), client=client, now=timezone.now())
        messages.success(request, WORDS_GONE)
    except ValidationError as problem:
        messages.error(request, " ".join(problem.messages))
    return redirect("clients:client_records", pk=pk)


@require_GET
def client_export(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    """Everything of one client as a zip file, sent while it is made. Not for assistants: it takes data out."""
    client = get_client_or_404(request, pk)
    writer_of(request)
    now = timezone.now()
    return _download(archive.client_archive(client, now), f"client-{client.pk}-{now:%Y-%m-%d}.zip")


@require_GET
def practice_export(request: HttpRequest) -> StreamingHttpResponse:
    """Every client this coach answers for, or the whole practice for its owner."""
    by, now = writer_of(request), timezone.now()
    clients = visible_clients(desk_of(request)).iterator(100)
    return _download(archive.practice_archive(by, clients, now), f"clients-{now:%Y-%m-%d}.zip")


def _download(pieces: archive.Pieces, name: str) -> StreamingHttpResponse:
    # No name of a person in the file's name: it ends up in histories and logs.
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
    return StreamingHttpResponse(pieces, content_type="application/zip", headers=headers)


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
        except OSError:
            form.add_error(None, NOT_LISTED)
        else:
            messages.success(request, CLEAN if clean else TRACES)
            return redirect("clients:client_list")
    context = {"client": client, "form": form, "kinds": selectors.kind_counts(client)}
    return render(request, "clients/client_erase.html", context, status=422 if form.errors else 200)
