"""House rules for everyone and for one client: look, preview what a change would flag, save it, undo it."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from clients.doors import get_client_or_404
from clients.forms import RuleForm
from clients.forms.fields import put_errors
from clients.models import Client
from clients.rule_texts import rule_text
from clients.selectors import rule_lines, today_for, visible_clients
from clients.services import set_rules
from clients.services.rules import subject_of
from clients.services.stale import StaleForm
from clients.views.stale import Clash
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from coachdesk.practice.models import Practice
from coachdesk.practice.tape import UndoConflict, next_redo, next_undo, undo
from programs import selectors


@require_http_methods(["GET", "POST"])
def rule_list(request: HttpRequest) -> HttpResponse:
    """The practice's own thresholds, for everyone who has none of their own."""
    return _rules(request, desk_of(request).practice)


@require_http_methods(["GET", "POST"])
def client_rules(request: HttpRequest, pk: int) -> HttpResponse:
    """The thresholds of one client."""
    return _rules(request, get_client_or_404(request, pk))


def _rules(request: HttpRequest, of: Client | Practice) -> HttpResponse:
    if request.method == "GET":
        return _page(request, of, RuleForm(lines=rule_lines(of)))
    writer_of(request)
    do = request.POST.get("do", "")
    if do in ("undo", "redo"):
        return _undo(request, of, do)
    form = RuleForm(request.POST, lines=rule_lines(of))
    if not form.is_valid():
        return _page(request, of, form, 422)
    if do == "save" and request.POST.get("seen") == form.seen:
        return _save(request, of, form)
    return _page(request, of, form, preview=_preview(request, of, form))


def _save(request: HttpRequest, of: Client | Practice, form: RuleForm) -> HttpResponse:
    values = form.changed(set(request.POST.getlist("take")))
    try:
        set_rules(by=writer_of(request), of=of, values=values, base=form.base, now=timezone.now())
    except StaleForm as stale:
        again = RuleForm(_merged(request, form, stale), lines=rule_lines(of))
        return _page(request, of, again, 409, clashes=_clashes(form, stale), seen=form.seen)
    except ValidationError as refusal:
        put_errors(form, refusal)
        return _page(request, of, form, 422)
    messages.success(request, "The rules are saved; loads and flags follow them from now on.")
    return _back(of)


def _preview(request: HttpRequest, of: Client | Practice, form: RuleForm) -> selectors.RulePreview:
    desk, now = desk_of(request), timezone.now()
    if isinstance(of, Client):
        return selectors.rule_preview([of], of, form.values, today_for(of, now))
    clients = list(visible_clients(desk).filter(archived_on=None).prefetch_related("place__equipment"))
    return selectors.rule_preview(clients, of, form.values, today_for(desk.practice, now))


def _undo(request: HttpRequest, of: Client | Practice, do: str) -> HttpResponse:
    found = next_undo if do == "undo" else next_redo
    act = found(desk_of(request).practice, subject_of(of))
    try:
        messages.success(request, f"{undo(act, by=writer_of(request)).label}." if act else f"Nothing is left to {do}.")
    except UndoConflict as conflict:
        messages.error(request, str(conflict))
    return _back(of)


def _back(of: Client | Practice) -> HttpResponse:
    return redirect("programs:client_rules", pk=of.pk) if isinstance(of, Client) else redirect("programs:rule_list")


def _clashes(form: RuleForm, stale: StaleForm) -> list[Clash]:
    def words(name: str, value: Any) -> str:
        return "the default" if value is None else rule_text(name, value)

    return [
        Clash(c.field, str(form.fields[c.field].label), words(c.field, c.mine), words(c.field, c.theirs))
        for c in stale.conflicts
    ]


def _merged(request: HttpRequest, form: RuleForm, stale: StaleForm) -> dict[str, Any]:
    """What was typed, against what is saved now: so that saving again decides instead of clashing again."""
    data: dict[str, Any] = request.POST.dict()
    for line in rule_lines(_again(stale)):
        name = line.spec.name
        data[f"was_{name}"] = line.own
        if name not in form.values:
            data[name] = line.own
    return data


def _again(stale: StaleForm) -> Client | Practice:
    row = stale.row
    assert isinstance(row, (Client, Practice))
    return row


def _page(request: HttpRequest, of: Client | Practice, form: RuleForm, status: int = 200, **more: Any) -> HttpResponse:
    practice, subject = desk_of(request).practice, subject_of(of)
    context = {
        "form": form, "groups": selectors.rule_groups(form.rows), "client": of if isinstance(of, Client) else None,
        "undo": next_undo(practice, subject), "redo": next_redo(practice, subject), **more,
    }  # fmt: skip
    template = "programs/client_rules.html" if isinstance(of, Client) else "programs/rule_list.html"
    return render_page(request, template, context, status=status)
