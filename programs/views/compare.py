"""Comparing schemes, and putting the chosen one into the programme."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from coachdesk import engine
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from coachdesk.practice.merge import StaleEdit
from programs import selectors, services
from programs.doors import get_planned_exercise_or_404
from programs.forms import UseSchemeForm
from programs.views.editor_page import back_to

PAGE = "programs/scheme_compare.html"


@require_GET
def scheme_compare(request: HttpRequest) -> HttpResponse:
    """Two to four schemes side by side, from what stands in the address."""
    page = selectors.comparison(desk_of(request), request.GET.dict(), now=timezone.now())
    status = 422 if page.has_errors else 200
    return render_page(request, PAGE, {"page": page}, partial="compare", status=status)


@require_POST
def planned_exercise_scheme(request: HttpRequest, pk: int) -> HttpResponse:
    """Use a compared scheme for a planned exercise; a clash or an unreadable field shows the comparison again."""
    planned = get_planned_exercise_or_404(request, pk)
    by, now = writer_of(request), timezone.now()
    program = planned.session.block.program
    form = UseSchemeForm(request.POST, unit=selectors.unit_of(program, by, request.POST.get("client")))
    conflicts, status = [], 422
    if form.is_valid():
        data = form.cleaned_data
        try:
            services.use_scheme(by=by, planned=planned, version=data["version"], scheme=data["scheme"], now=now)
        except StaleEdit as stale:
            conflicts, status = stale.conflicts, 409
        else:
            words = engine.scheme_words(data["scheme"])
            messages.success(request, f"{planned.exercise.name} now has {words}. Undo puts the old scheme back.")
            return back_to(request, program, session=planned.session_id, anchor=f"row-{pk}")
    typed = {f"a-{name}": request.POST.get(name, "") for name in engine.FIELDS}
    page = selectors.comparison(by, {"planned": str(pk), "client": request.POST.get("client", ""), **typed}, now=now)
    return render_page(request, PAGE, {"page": page, "conflicts": conflicts, "form": form}, status=status)
