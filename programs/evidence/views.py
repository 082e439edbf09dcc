"""Switchboards for evidence cards: the list, one card beside a client, adding, changing, taking away."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients.forms.fields import put_errors
from clients.models import Client
from clients.selectors import today_for, visible_clients
from clients.services.stale import StaleForm
from clients.views.stale import Clash, taken
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from programs.evidence import services
from programs.evidence.codes import code_words, scheme_codes
from programs.evidence.doors import get_card_or_404
from programs.evidence.fit import card_fit, differences
from programs.evidence.forms import CardForm, about_choices
from programs.evidence.selectors import POPULATIONS, Wanted, about_words, card_groups, card_rows
from programs.models import Exercise
from programs.selectors import visible_exercises
from programs.views.editor_page import page_number


@require_GET
def evidence_list(request: HttpRequest) -> HttpResponse:
    """Every card; `?scheme=`, `?rule=`, `?population=`; `?for=` holds them against a client."""
    wanted = Wanted(*(request.GET.get(name, "")[:60] for name in ("scheme", "rule", "population")))
    cards = card_rows(desk_of(request), wanted)
    context = {
        "cards": cards, "groups": card_groups(cards), "wanted": wanted, "schemes": scheme_codes(),
        "about": about_choices()[1:], "populations": POPULATIONS, "client": _client(request),
    }  # fmt: skip
    return render_page(request, "programs/evidence_list.html", context, partial="cards")


def _client(request: HttpRequest) -> Client | None:
    wanted = page_number(request, "for")
    found = visible_clients(desk_of(request)).filter(pk=wanted) if wanted and wanted < 2**63 else None
    return found.first() if found is not None else None


def _exercise(request: HttpRequest) -> Exercise | None:
    wanted = page_number(request, "exercise")
    found = visible_exercises(desk_of(request)).filter(pk=wanted) if wanted and wanted < 2**63 else None
    return found.first() if found is not None else None


@require_GET
def evidence_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One card; with `?for=` (and `?exercise=`) where that client differs from who was studied."""
    card, client, exercise = get_card_or_404(request, pk), _client(request), _exercise(request)
    lines = card_fit(card, client, today_for(client, timezone.now()), exercise) if client else []
    context = {
        "card": card, "about": about_words(card), "client": client, "exercise": exercise, "lines": lines,
        "differences": differences(lines),
        "clients": visible_clients(desk_of(request)).filter(archived_on=None),
    }  # fmt: skip
    return render_page(request, "programs/evidence_detail.html", context)


@require_http_methods(["GET", "POST"])
def evidence_new(request: HttpRequest) -> HttpResponse:
    """Write a card of one's own."""
    by = writer_of(request)
    form = CardForm(request.POST if request.method == "POST" else None, initial={"about": request.GET.getlist("about")})
    if request.method == "POST" and form.is_valid():
        try:
            card = services.add_card(by=by, values=form.values, now=timezone.now())
        except ValidationError as refusal:
            put_errors(form, refusal)
        else:
            messages.success(request, "The card is added.")
            return redirect("programs:evidence_detail", pk=card.pk)
    return render_page(request, "programs/evidence_new.html", {"form": form}, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def evidence_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a card; a shipped one becomes the practice's own copy."""
    card, by = get_card_or_404(request, pk), writer_of(request)
    form = CardForm(request.POST if request.method == "POST" else None, card=card)
    context: dict[str, Any] = {"card": card, "form": form}
    if request.method == "POST" and form.is_valid():
        version, values = form.cleaned_data["version"], taken(request.POST, form.values)
        try:
            saved = services.edit_card(by=by, card=card, version=version, values=values, now=timezone.now())
        except StaleForm as stale:
            context |= {"form": CardForm(_merged(request.POST, stale), card=card), "clashes": _clashes(form, stale)}
            return render_page(request, "programs/evidence_edit.html", context, status=409)
        except ValidationError as refusal:
            put_errors(form, refusal)
        else:
            messages.success(request, "The card is saved." if saved.pk == pk else "Saved as your practice's own copy.")
            return redirect("programs:evidence_detail", pk=saved.pk)
    return render_page(request, "programs/evidence_edit.html", context, status=422 if form.errors else 200)


@require_POST
def evidence_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a card of the practice away; undo is under Changes."""
    card, by = get_card_or_404(request, pk), writer_of(request)
    try:
        services.remove_card(by=by, card=card, now=timezone.now())
        messages.success(request, f"Removed: {card.title}. It can be brought back under Changes.")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("programs:evidence_detail", pk=pk)
    return redirect("programs:evidence_list")


def _merged(posted: QueryDict, stale: StaleForm) -> QueryDict:
    """What merges, with mine where we clash, against the version saved now."""
    data = posted.copy()
    for name, value in stale.merged.items():
        data.setlist(name, value if isinstance(value, list) else ["" if value is None else str(value)])
    data["version"] = str(getattr(stale.row, "version", ""))
    return data


def _clashes(form: CardForm, stale: StaleForm) -> list[Clash]:
    def words(value: Any) -> str:
        if isinstance(value, list):
            return ", ".join(code_words(one) for one in value) or "nothing"
        return "nothing" if value in (None, "") else str(value)[:200]

    return [Clash(c.field, str(form.fields[c.field].label), words(c.mine), words(c.theirs)) for c in stale.conflicts]
