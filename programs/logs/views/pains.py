"""Pain of a logged session: one line written, completed the next morning, or taken away."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from clients.forms.fields import put_errors
from clients.services.stale import StaleForm
from coachdesk.practice.doors import logging_view, writer_of
from programs.logs import selectors, services
from programs.logs.doors import get_session_log_or_404
from programs.logs.forms import PainForm
from programs.logs.models import SessionLog
from programs.logs.views.detail import detail_page


@logging_view
@require_POST
def session_pain(request: HttpRequest, pk: int) -> HttpResponse:
    """Write one line; blank pain takes the report away."""
    log = get_session_log_or_404(request, pk)
    form = PainForm(request.POST)
    if form.is_valid():
        try:
            services.record_pain(
                by=writer_of(request), session_log=log, exercise_id=form.cleaned_data["exercise"],
                version=form.cleaned_data["version"], values=form.values, now=timezone.now(),
            )  # fmt: skip
            messages.success(request, "Pain is saved.")
            return redirect(f"{reverse('logs:session_log_detail', args=[pk])}#pain")
        except StaleForm as stale:
            theirs = {c.field: "blank" if c.theirs in (None, "") else str(c.theirs) for c in stale.conflicts}
            return _refused(request, log, form, 409, conflicts=theirs)
        except ValidationError as refusal:
            put_errors(form, refusal)
    return _refused(request, log, form, 422, errors=form.found)


def _refused(
    request: HttpRequest, log: SessionLog, form: PainForm, status: int, **wrong: dict[str, str]
) -> HttpResponse:
    exercise_id = form.cleaned_data.get("exercise")
    changed = selectors.PainLine(exercise_id, "", None, form.typed, **wrong)
    page = selectors.session_page(log)
    return detail_page(
        request, page, status, pains=selectors.pain_lines(log, page.exercises_done, changed), pain_errors=form.found
    )
