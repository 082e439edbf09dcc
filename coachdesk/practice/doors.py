"""The doors of the desk: who is signed in, who may write, and what a stranger is told."""

from collections.abc import Callable
from typing import Any, TypeVar

from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.core.exceptions import PermissionDenied
from django.db.models import F, Model, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme

from coachdesk.practice.models import Membership, User
from coachdesk.practice.selectors import has_left, memberships_with_backups

SAFE = ("GET", "HEAD", "OPTIONS")
Row = TypeVar("Row", bound=Model)
View = TypeVar("View", bound=Callable[..., HttpResponse])
# Ids past a database's range are answered like any other missing id.
BIGGEST_ID = 2**63 - 1


class SignInRequired(LoginRequiredMiddleware):
    """Every page needs a sign-in unless its view says otherwise.

    An htmx call whose sign-in expired gets a 401 and a note beside the page, so what was typed stays where it is.
    """

    def handle_no_permission(self, request: HttpRequest, view_func: Any) -> Any:
        if getattr(request, "htmx", None):
            response = render(request, "practice/_sign_in_expired.html", status=401)
            response["HX-Retarget"] = "#desk-message"
            response["HX-Reswap"] = "innerHTML"
            return response
        return super().handle_no_permission(request, view_func)


class DeskBackend(ModelBackend):
    """Finds the signed-in person together with the membership through which they act, in one query."""

    def get_user(self, user_id: int) -> User | None:
        mine = memberships_with_backups().select_related("practice", "user").filter(user_id=user_id)
        found = mine.order_by(F("left_at").asc(nulls_first=True), "id").first()
        user: Any = found.user if found else super().get_user(user_id)
        if user is not None:
            user.desk = found
        works = found is None or found.left_at is None
        return user if user is not None and works and super().user_can_authenticate(user) else None

    def user_can_authenticate(self, user: Any) -> bool:
        """As Django's, and nobody who has left."""
        return super().user_can_authenticate(user) and not has_left(user)


class DeskMiddleware:
    """Puts `request.desk` on every signed-in request: the membership through which this person acts."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        # One who signs in with this very request has no desk before the next one.
        request.desk = getattr(request.user, "desk", None)  # type: ignore[attr-defined]
        response = self.get_response(request)
        if request.user.is_authenticated and "Cache-Control" not in response:
            # Not 'no-store': with it, going back would lose what was typed.
            response["Cache-Control"] = "private, no-cache"
        return response

    def process_view(self, request: HttpRequest, view: Callable[..., Any], *_: Any) -> None:
        """Note whether the view is one of those that an assistant who may log may write through."""
        request.is_logging = getattr(view, "is_logging", False)  # type: ignore[attr-defined]


def logging_view(view: View) -> View:
    """Mark a view that keeps session logs or issues sheets: its writes are open to assistants who may log."""
    view.is_logging = True  # type: ignore[attr-defined]
    return view


def desk_context(request: HttpRequest) -> dict[str, Any]:
    """`desk` for every template; None on pages before sign-in."""
    return {"desk": getattr(request, "desk", None)}


def next_path(request: HttpRequest, otherwise: str) -> str:
    """The page that a form names in `next`, if it is one of this desk's, else `otherwise`."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    # Only a path: redirect() would look any other word up as the name of a route.
    return wanted if safe and wanted.startswith("/") else otherwise


def desk_of(request: HttpRequest) -> Membership:
    """The membership that acts, or 403 for somebody who belongs to no practice."""
    desk: Membership | None = getattr(request, "desk", None)
    if desk is None:
        raise PermissionDenied("You are signed in, but belong to no practice yet.")
    return desk


def writer_of(request: HttpRequest) -> Membership:
    """As `desk_of`, but 403 for an assistant: nothing is theirs to write but logs and sheets, and those if they may."""
    desk = desk_of(request)
    if not (desk.can_log if getattr(request, "is_logging", False) else desk.can_write):
        does = "logs sessions and issues sheets" if desk.can_log else "reads only"
        raise PermissionDenied(f"An assistant {does}; ask a coach to make this change.")
    return desk


def owner_of(request: HttpRequest) -> Membership:
    """As `desk_of`, but 403 for anybody but the owner."""
    desk = desk_of(request)
    if desk.role != Membership.Role.OWNER:
        raise PermissionDenied("Only the owner of the practice can do this.")
    return desk


def get_or_404(visible: QuerySet[Row], request: HttpRequest, pk: int) -> Row:
    """The row if this person may see it, else 404, whether it exists or not; 403 to write without the right.

    Every entity's door `get_<noun>_or_404` goes through here with its own `visible` rows.
    """
    if not 0 < pk <= BIGGEST_ID:
        raise Http404
    row = visible.filter(pk=pk).first()
    if row is None:
        raise Http404
    if request.method not in SAFE:
        writer_of(request)
    return row
