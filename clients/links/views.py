"""A client's links: opening one."""

from datetime import timedelta

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils import timezone
from django.views.decorators.http import require_safe

from clients.links.doors import COOKIE, PHONE_PATH, LinkRefused
from clients.links.selectors import link_of_token
from clients.links.services import LONGEST_LIFE
from clients.models import ClientLink


@login_not_required
@require_safe
def link_open(request: HttpRequest, token: str) -> HttpResponse:
    """Swap the token in the address for a cookie and lead on to a clean address, any number of times.

    Nothing is written: previews and in-app browsers fetch links too, and lose their cookies.
    """
    if link_of_token(token, ClientLink.Kind.PHONE, timezone.now()) is None:
        raise LinkRefused
    answer = HttpResponseRedirect(PHONE_PATH, headers={"Cache-Control": "no-store", "Referrer-Policy": "no-referrer"})
    # The desk decides at every request whether the token still opens; the cookie only must last as long as a link may.
    answer.set_cookie(
        COOKIE, token, max_age=LONGEST_LIFE + timedelta(days=1), path=PHONE_PATH, httponly=True, samesite="Lax",
        secure=settings.ENV.served,
    )  # fmt: skip
    return answer
