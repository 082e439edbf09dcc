"""The exercise library."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from clients.models import MUSCLE_CHOICES, Equipment
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of
from programs import selectors
from programs.doors import get_exercise_or_404


@require_GET
def exercise_list(request: HttpRequest) -> HttpResponse:
    """Exercises by name, filtered by words, muscle and equipment."""
    wanted = {name: request.GET.get(name, "")[:60] for name in ("q", "muscle", "kind")}
    rows = selectors.exercise_rows(desk_of(request), query=wanted["q"], muscle=wanted["muscle"], kind=wanted["kind"])
    context = {"exercises": rows, "wanted": wanted, "muscles": MUSCLE_CHOICES, "kinds": Equipment.Kind.choices}
    return render_page(request, "programs/exercise_list.html", context, partial="exercises")


@require_GET
def exercise_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One exercise: what it trains, how it is loaded, what may stand in for it."""
    return render_page(request, "programs/exercise_detail.html", {"exercise": get_exercise_or_404(request, pk)})
