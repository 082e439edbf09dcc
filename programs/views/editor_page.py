"""Drawing the editor, whole or in part: what its views share."""

from typing import Any
from urllib.parse import urlencode

from django.core.cache import cache
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from coachdesk.htmx import render_page, wants_partial
from coachdesk.practice.doors import desk_of
from coachdesk.practice.selectors import newest_act_ids
from programs import selectors
from programs.models import PlannedSession, Program
from programs.selectors.prescription import Shown

PAGE = "programs/program_detail.html"
KEEP_SECONDS = 1800


def page_number(request: HttpRequest, name: str, *, least: int = 1) -> int | None:
    """A whole number from the address or the form; None when it is missing or is none."""
    text = request.POST.get(name) or request.GET.get(name) or ""
    if not text.isascii() or not text.isdigit() or len(text) > 18 or int(text) < least:
        return None
    return int(text)


def shown_place(request: HttpRequest) -> Shown:
    """The session or week that the page was drawn around."""
    return Shown(page_number(request, "session"), page_number(request, "week"))


def sent(request: HttpRequest) -> dict[str, str]:
    """What came with the address and with the form; the form wins."""
    return {**request.GET.dict(), **request.POST.dict()}


def _context(request: HttpRequest, program: Program, **wanted: Any) -> dict[str, Any]:
    looking_as = request.POST.get("for") or request.GET.get("for")
    muscle = (request.POST.get("muscle") or request.GET.get("muscle") or "")[:20]
    page = selectors.editor(
        desk_of(request), program, now=timezone.now(), looking_as=looking_as, muscle=muscle, **wanted
    )
    changed = _changed(request, program, page)
    return {
        "page": page, "program": program, "client": page.view.client, "partial": wants_partial(request),
        "changed": changed,
    }  # fmt: skip


def _changed(request: HttpRequest, program: Program, page: selectors.Editor) -> str:
    """What the act between this drawing and the last one changed in the numbers; '' when it was none, or several.

    The numbers last shown to this person are kept in memory for a while, so that no edit is worked out twice.
    """
    key = f"editor:{desk_of(request).pk}:{program.pk}:{page.view.client.pk if page.view.client else 0}"
    acts = newest_act_ids(program.practice, f"program:{program.pk}")
    now = selectors.snapshot(page.view, page.session)
    seen, before = cache.get(key, (None, None))
    cache.set(key, (acts[:1], now), KEEP_SECONDS)
    return selectors.changes(before, now) if acts and seen == acts[1:] else ""


def editor_response(
    request: HttpRequest, program: Program, *, status: int = 200, forms: dict[str, Form] | None = None, **wanted: Any
) -> HttpResponse:
    """The editor's page, or the part of it that moves when htmx asked."""
    context = {**_context(request, program, **wanted), "forms": forms or {}}
    return render_page(request, PAGE, context, partial="editor", status=status)


def row_response(request: HttpRequest, session: PlannedSession, row: int, *, status: int = 200, **wanted: Any) -> Any:
    """One row of the opened session with everything that its change may have moved, as out-of-band parts."""
    program = session.block.program
    if not wants_partial(request):
        if status == 200:
            return back_to(request, program, session=session.pk, anchor=f"row-{row}")
        return editor_response(request, program, status=status, session=session.pk, **wanted)
    context = _context(request, program, session=session.pk, **wanted)
    context["row"] = next((r for r in context["page"].rows if r.pk == row), None)
    return render_page(request, "programs/_row_answer.html", context, status=status)


def back_to(
    request: HttpRequest,
    program: Program,
    *,
    session: int | None = None,
    week: int | None = None,
    anchor: str = "",
    closed: bool = False,
) -> HttpResponse:
    """To the editor after a change: the same session or week, drawn anew for htmx, by redirect otherwise."""
    session = None if closed else session or page_number(request, "session")
    week = week or page_number(request, "week")
    if wants_partial(request):
        return editor_response(request, program, session=session, week=week)
    looking_as = page_number(request, "for")
    query = {"session": session, "week": None if session else week, "for": looking_as}
    text = urlencode({k: v for k, v in query.items() if v})
    path = reverse("programs:program_detail", args=[program.pk])
    return redirect(f"{path}{'?' + text if text else ''}{'#' + anchor if anchor else ''}")
