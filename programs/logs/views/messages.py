"""What a client wrote from the phone, and the coach's answers."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from clients.doors import get_client_or_404
from clients.models import Client
from clients.services.stale import StaleForm
from coachdesk.htmx import render_page
from coachdesk.practice.doors import writer_of
from programs.logs import selectors, services
from programs.logs.doors import get_message_or_404
from programs.logs.forms import AnswerForm


@require_GET
def client_messages(request: HttpRequest, pk: int) -> HttpResponse:
    """A client's messages, newest first, with the answers."""
    before = request.GET.get("before", "")
    older = int(before) if before.isascii() and before.isdigit() and len(before) < 18 else None
    client = get_client_or_404(request, pk)
    return _page(request, client, selectors.messages_page(client, before=older), 200)


def _page(request: HttpRequest, client: Client, page: selectors.MessagesPage, status: int) -> HttpResponse:
    context = {"client": client, "page": page}
    return render_page(request, "logs/client_messages.html", context, status=status)


@require_POST
def message_answer(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep one answer."""
    message = get_message_or_404(request, pk)
    form, theirs, status = AnswerForm(request.POST), "", 422
    if form.is_valid():
        try:
            services.answer_message(by=writer_of(request), message=message, now=timezone.now(), **form.cleaned_data)
            messages.success(request, "The answer is saved; the client reads it on the phone.")
            return redirect("logs:client_messages", pk=message.client_id)
        except StaleForm as stale:
            theirs, status = str(stale.conflicts[0].theirs) or "nothing", 409
    message = get_message_or_404(request, pk)
    changed = selectors.MessageRow(message, typed=form.typed, theirs=theirs, error=form.words)
    return _page(request, message.client, selectors.messages_page(message.client, changed=changed), status)
