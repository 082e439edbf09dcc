"""The client's pages, behind the cookie of their link: what is to do, one session, and everything said in it."""

from collections.abc import Callable
from typing import Any
from urllib.parse import quote

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import cache_control
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients.forms.fields import put_errors
from clients.links.doors import COOKIE, PHONE_PATH, client_of_link
from clients.selectors import today_for
from coachdesk.htmx import render_page
from programs.logs.phone import app
from programs.logs.phone.doors import get_my_sheet_or_404
from programs.logs.phone.forms import EntryForm, MessageForm, MinutesForm, PlaceForm, entry_form
from programs.logs.phone.places import change_place, places_for
from programs.logs.phone.queue import HEADER, VERSION, NotAQueue, keep_queue, queue_sent
from programs.logs.phone.selectors.rows import Refused
from programs.logs.phone.selectors.session import Session, session_of
from programs.logs.phone.selectors.shorter import proposals, shortened
from programs.logs.phone.selectors.stand_ins import swap_page
from programs.logs.phone.selectors.today import today_page
from programs.logs.phone.services import record_entry
from programs.logs.services.replays import KeyReused

View = Callable[..., HttpResponse]
# The script asks for the page itself and puts its changed parts in place; it is told where to go on.
QUICK, NEXT = HEADER, "X-Next"


def phone_page(view: View) -> View:
    """No sign-in: the link's cookie says whose page it is. Kept by nobody on the way, and sent small."""
    kept: View = cache_control(private=True, no_cache=True)(gzip_page(view))
    return login_not_required(kept)


@login_not_required
@gzip_page
@require_GET
def script(request: HttpRequest) -> HttpResponse:
    """The scripts of these pages, the same for everybody."""
    return _made(request, app.script(), "text/javascript")


@login_not_required
@gzip_page
@require_GET
def style(request: HttpRequest) -> HttpResponse:
    """The styles of these pages, the same for everybody."""
    return _made(request, app.style(), "text/css")


def _made(request: HttpRequest, made: bytes, kind: str) -> HttpResponse:
    """Kept for good under the address that names its digest."""
    known = request.GET.get("v") == app.version_of(made)
    kept = "public, max-age=31536000, immutable" if known else "no-cache"
    return HttpResponse(made, content_type=kind, headers={"Cache-Control": kept})


@login_not_required
@gzip_page
@require_GET
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker of these pages; asked for anew at every visit, so that a new version takes over then."""
    return HttpResponse(app.worker(), content_type="text/javascript", headers={"Cache-Control": "no-cache"})


@phone_page
@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """What is to do today and next, what is saved, and the messages."""
    return _today(request, MessageForm(), 200)


def _today(request: HttpRequest, form: EntryForm, status: int) -> HttpResponse:
    client = client_of_link(request)
    page = today_page(client, today_for(client, timezone.now()))
    return render_page(request, "phone/today.html", {"client": client, "page": page, "form": form}, status=status)


@phone_page
@require_POST
def message_new(request: HttpRequest) -> HttpResponse:
    """A message to the coach that belongs to no session."""
    client = client_of_link(request)
    form = MessageForm(request.POST)
    if _kept(form, client=client, sheet=None):
        return redirect(f"{reverse('phone:today')}#messages")
    return _today(request, form, 422)


@phone_page
@require_POST
def forget(request: HttpRequest) -> HttpResponse:
    """Take the link's cookie out of this browser; the link itself and all that was logged stay as they are."""
    client_of_link(request)
    answer = redirect("phone:forgotten")
    answer.delete_cookie(COOKIE, path=PHONE_PATH, samesite="Lax")
    # What the browser remembers of the pages behind this one goes too.
    answer["Clear-Site-Data"] = '"cache"'
    return answer


@login_not_required
@require_GET
def forgotten(request: HttpRequest) -> HttpResponse:
    """What a phone that has forgotten its link shows; it says nothing of anybody."""
    return render_page(request, "phone/forgotten.html", {})


@phone_page
@require_GET
def session(request: HttpRequest, pk: int) -> HttpResponse:
    """One session: every exercise with its sets, what is saved, and the next set open."""
    sheet = get_my_sheet_or_404(request, pk)
    return _page(request, session_of(sheet, at=request.GET.get("at", "")[:24]), 200)


def _page(request: HttpRequest, page: Session, status: int) -> HttpResponse:
    context = {"client": page.sheet.client, "page": page, "sheet": page.sheet, "body": page.sheet.body}
    return render_page(request, "phone/session.html", context, status=status)


@phone_page
@require_POST
def entry_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep one thing that was said in a session."""
    sheet = get_my_sheet_or_404(request, pk)
    form = entry_form(request.POST, sheet)
    row = _kept(form, client=sheet.client, sheet=sheet)
    if row is None:
        return _page(request, session_of(sheet, refused=_refused(request, form)), 422)
    page = session_of(sheet)
    place = "aside" if row.aside else page.after(form.slot) if row.kind == "set" else _place(request, row.kind)
    if QUICK in request.headers:
        answer = _page(request, page, 200)
        answer[NEXT] = place
        return answer
    return redirect(f"{reverse('phone:session', args=[pk])}#{quote(place)}")


@csrf_exempt  # `queue_sent` says what stands in its place
@phone_page
@require_POST
def queue(request: HttpRequest) -> HttpResponse:
    """Keep what waited on the phone, in order, and say of each thing what became of it."""
    client = client_of_link(request)
    try:
        answers = keep_queue(client=client, items=queue_sent(request, client), now=timezone.now())
    except NotAQueue as problem:
        return JsonResponse({"v": VERSION, "words": problem.words}, status=problem.status)
    return JsonResponse({"v": VERSION, "items": answers})


def _kept(form: EntryForm, **whose: Any) -> Any:
    """The row that was written, or the first one for a replay; None with the form's errors saying why not."""
    if not form.is_valid():
        return None
    try:
        return record_entry(**whose, key=form.uuid, entry=form.entry, now=timezone.now(), ago_s=form.ago_s)
    except KeyReused as reused:
        form.add_error(None, str(reused))
    except ValidationError as refusal:
        put_errors(form, refusal)
    return None


def _place(request: HttpRequest, kind: str) -> str:
    """Where the page goes on after what was said of an exercise or of the session."""
    place = request.POST.get("position") or request.POST.get("place") or request.POST.get("slot") or ""
    position = place.partition("-")[0]
    return f"lift-{position[:4]}" if position else "messages" if kind == "message" else "end"


def _refused(request: HttpRequest, form: EntryForm) -> Refused:
    typed = {name: str(request.POST.get(name, ""))[:1200] for name in ("load", "reps", "rir", "why", "text", "minutes")}
    return Refused(str(request.POST.get("kind", ""))[:10], form.slot, form.words, typed, form.asks, form.wrong)


@phone_page
@require_GET
def shorter(request: HttpRequest, pk: int) -> HttpResponse:
    """What is left of the session in so many minutes, and what has to give; nothing is changed by looking."""
    sheet = get_my_sheet_or_404(request, pk)
    form = MinutesForm(request.GET if "minutes" in request.GET else None)
    page = session_of(sheet)
    asked = form.cleaned_data["minutes"] if form.is_valid() else None
    context = {"sheet": sheet, "form": form, "page": page, "found": shortened(page, asked) if asked else None}
    context["offered"] = proposals(page)
    status = 422 if form.is_bound and not form.is_valid() else 200
    return render_page(request, "phone/shorter.html", context, status=status)


@phone_page
@require_http_methods(["GET", "POST"])
def place(request: HttpRequest, pk: int) -> HttpResponse:
    """Train somewhere else today: the session is handed out anew with the loads of that place."""
    sheet = get_my_sheet_or_404(request, pk)
    form = PlaceForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            made = change_place(
                client=sheet.client, sheet=sheet, place=form.cleaned_data["place"] or 0, key=form.uuid,
                now=timezone.now(),
            )  # fmt: skip
            return redirect("phone:session", pk=made.pk)
        except KeyReused as reused:
            form.add_error(None, str(reused))
        except ValidationError as refusal:
            put_errors(form, refusal)
    context = {"sheet": sheet, "form": form, "places": places_for(sheet)}
    return render_page(request, "phone/place.html", context, status=422 if form.is_bound else 200)


@phone_page
@require_GET
def swap(request: HttpRequest, pk: int, position: int) -> HttpResponse:
    """What may stand in for an exercise today, best first, and why."""
    sheet = get_my_sheet_or_404(request, pk)
    return render_page(request, "phone/swap.html", {"sheet": sheet, "swap": swap_page(sheet, position)})
