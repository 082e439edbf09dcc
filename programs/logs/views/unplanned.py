"""What no sheet planned: a session that happened all the same, and an exercise that was done besides."""

from uuid import uuid4

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from clients.doors import get_client_or_404
from clients.forms.fields import put_errors
from clients.selectors import today_for, visible_places
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, logging_view, writer_of
from programs.logs import selectors, services
from programs.logs.doors import get_session_log_or_404
from programs.logs.forms import ExtraExerciseForm, UnplannedForm
from programs.logs.mapping import set_key
from programs.logs.views.detail import detail_page
from programs.selectors import exercises_by_name

MOVED = "Another exercise was added meanwhile; look at the page, then add this one behind it."


@logging_view
@require_http_methods(["GET", "POST"])
def unplanned_session(request: HttpRequest, pk: int) -> HttpResponse:
    """Say on which day it was; the sets are typed on the page that follows."""
    client, by, now = get_client_or_404(request, pk), writer_of(request), timezone.now()
    today = today_for(client, now)
    initial = {"key": uuid4(), "done_on": today}
    form = UnplannedForm(request.POST or None, today=today, places=visible_places(by), initial=initial)
    if form.is_valid():
        try:
            made = services.open_session_log(by=by, client=client, now=now, **form.cleaned_data)
            return redirect(f"{reverse('logs:session_log_detail', args=[made.pk])}#extra-exercise")
        except services.KeyReused as reused:
            form.add_error(None, f"{reused} Nothing was changed; correct the saved session instead.")
        except ValidationError as refusal:
            put_errors(form, refusal)
    status = 200 if request.method == "GET" else 422
    return render_page(request, "logs/unplanned_session.html", {"client": client, "form": form}, status=status)


@logging_view
@require_POST
def extra_exercise(request: HttpRequest, pk: int) -> HttpResponse:
    """Add an exercise with its first set behind the others."""
    log, by = get_session_log_or_404(request, pk), writer_of(request)
    page = selectors.session_page(log)
    form = ExtraExerciseForm(request.POST, session_log=log, library=exercises_by_name(desk_of(request)))
    if form.is_valid() and form.done:
        slot = form.done.slot
        if not selectors.is_free(log, slot, page.next_position):
            form.add_error(None, MOVED)
            return _refused(request, page, form)
        try:
            services.log_set(by=by, session_log=log, key=set_key(log.key, slot), step=form.done, now=timezone.now())
            further = selectors.session_page(log).row_to_type(slot)
            place = f"{further.id}-load" if further else "extra"
            return redirect(f"{reverse('logs:session_log_detail', args=[pk])}#{place}")
        except services.KeyReused:
            form.add_error(None, MOVED)
        except ValidationError as refusal:
            put_errors(form, refusal)
    return _refused(request, page, form)


def _refused(request: HttpRequest, page: selectors.SessionPage, form: ExtraExerciseForm) -> HttpResponse:
    form.put_at(page.next_position)
    return detail_page(request, page, 422, extra=form)
