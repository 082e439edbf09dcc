"""One change to the clients ticked on the roster: a look at it first, then what became of each, and one undo."""

from urllib.parse import urlencode

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from clients.selectors import visible_clients
from clients.services.many import change_many, check_change, lines_of_act, many_lines
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, get_or_404, writer_of
from coachdesk.practice.selectors import coaches, recent_acts
from programs.logs.forms.roster_acts import SHEETS, Asked, NoteForm, read_act


@require_POST
def roster_act(request: HttpRequest) -> HttpResponse:
    """Show what a change would do to each client ticked; with `sure`, do it."""
    by = writer_of(request)
    asked = read_act(request.POST.get("do", ""), request.POST.getlist("client"), list(coaches(by)))
    # Not sent with the first look, and so not valid.
    note = NoteForm(request.POST if request.POST.get("sure") else None)
    if asked.do == SHEETS and asked.ids:
        return redirect(f"{reverse('programs:sheet_run_new')}?{urlencode({'client': asked.ids}, doseq=True)}")
    if asked.change is None or not asked.ids:
        return _preview(request, asked, note, "Tick at least one client and choose what to do with them.")
    try:
        check_change(by, asked.change)
        if not note.is_valid():
            return _preview(request, asked, note)
        act, _ = change_many(by=by, change=asked.change, seen=asked.seen, now=timezone.now(), **note.cleaned_data)
    except ValidationError as wrong:
        return _preview(request, asked, note, " ".join(wrong.messages))
    if act is None:
        return _preview(request, asked, note, "Nothing was left to change.")
    shown = urlencode({"do": asked.do, "client": asked.ids}, doseq=True)
    return redirect(f"{reverse('logs:roster_act_detail', args=[act.pk])}?{shown}")


@require_GET
def roster_act_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """What became of each client, and the one undo."""
    desk = desk_of(request)
    act = get_or_404(recent_acts(desk), request, pk)
    asked = read_act(request.GET.get("do", ""), request.GET.getlist("client"), list(coaches(desk)))
    clients = list(visible_clients(desk).filter(pk__in=asked.ids))
    done = lines_of_act(act, clients)
    left = [client for client in clients if client.pk not in done]
    context = {
        "act": act, "changed": [client for client in clients if client.pk in done],
        "left": many_lines(left, asked.change) if asked.change else [], "unseen": len(asked.ids) - len(clients),
        "ticked": len(asked.ids),
    }  # fmt: skip
    return render_page(request, "logs/roster_act_detail.html", context)


def _preview(request: HttpRequest, asked: Asked, note: NoteForm, problem: str = "") -> HttpResponse:
    desk = desk_of(request)
    clients = list(visible_clients(desk).filter(pk__in=asked.ids))
    lines = many_lines(clients, asked.change) if asked.change else []
    context = {
        "asked": asked, "change": asked.change, "problem": problem, "form": note,
        "unseen": len(asked.ids) - len(clients),
        "lines": [line for line in lines if not line.left_out], "left": [line for line in lines if line.left_out],
    }  # fmt: skip
    return render_page(request, "logs/roster_act.html", context, status=422 if problem or note.errors else 200)
