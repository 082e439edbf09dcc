"""Answering with a whole page or just one partial of it, from the same view and context."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.template.context import make_context
from django.template.loader import get_template
from django.utils.cache import patch_vary_headers


def wants_partial(request: HttpRequest) -> bool:
    """True for an htmx call that is not restoring history and not boosted (those need the whole page)."""
    htmx = getattr(request, "htmx", None)
    return htmx is not None and bool(htmx) and not htmx.history_restore_request and not htmx.boosted


def render_page(
    request: HttpRequest, template: str, context: dict[str, Any] | None = None, *, partial: str = "", status: int = 200
) -> HttpResponse:
    """Render `template`, or its partial of that name when htmx asked for a fragment.

    The answer varies by HX-Request, so that a browser never shows a cached fragment as a page.
    """
    name = f"{template}#{partial}" if partial and wants_partial(request) else template
    response = HttpResponse(_rendered(request, name, context or {}), status=status)
    patch_vary_headers(response, ["HX-Request"])
    return response


def _rendered(request: HttpRequest, name: str, context: dict[str, Any]) -> str:
    """The template as text. A context points at itself: emptied, it lets a whole programme's rows go at once."""
    made = make_context(context, request)
    try:
        template: Any = get_template(name)
        return str(template.template.render(made))
    finally:
        made.dicts.clear()
