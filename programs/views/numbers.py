"""Where the numbers come from: the engine's own table, to search and to print."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from coachdesk.htmx import render_page
from programs.selectors.numbers import bases, shown_numbers


@require_GET
def number_list(request: HttpRequest) -> HttpResponse:
    """Every constant, curve, equation and rule; `?q=` words, `?basis=` one kind."""
    query, basis = request.GET.get("q", "")[:100], request.GET.get("basis", "")[:40]
    groups = shown_numbers(query, basis)
    context = {
        "groups": groups, "query": query, "basis": basis, "bases": bases(),
        "count": sum(len(lines) for _, lines in groups),
    }  # fmt: skip
    return render_page(request, "programs/number_list.html", context, partial="numbers")
