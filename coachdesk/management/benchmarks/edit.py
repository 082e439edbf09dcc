"""One change in a programme of twelve weeks, as the editor makes it."""

from django.test import Client as Browser
from django.urls import reverse

from coachdesk.management.benchmarks.course import SCHEME
from coachdesk.management.benchmarks.harness import Step
from coachdesk.management.benchmarks.pages import expect
from coachdesk.management.benchmarks.stage import Stage

LOADS, LEAST_LOAD, LEAST_REPS = 60, 50.0, 4


def htmx_headers(browser: Browser, page: str) -> dict[str, str]:
    """What htmx sends beside the form, with the page's own token against forgery."""
    browser.get(page)
    return {"HX-Request": "true", "X-CSRFToken": browser.cookies["csrftoken"].value}


def make_edit(stage: Stage, times: int) -> Step:
    """Another load and number of reps in one row, until the row and everything that moved with it is back.

    Every call gives values never given before, so that nothing kept in memory answers in its place.
    """
    session = stage.course.sessions[len(stage.course.sessions) // 2]
    planned = session.exercises.order_by("position").select_related("exercise").first()
    assert planned is not None
    page = f"{reverse('programs:program_detail', args=[stage.course.program.pk])}?session={session.pk}"
    headers = htmx_headers(stage.browser, page)
    path = reverse("programs:planned_exercise_edit", args=[planned.pk])
    calls = iter(range(times))

    def step() -> None:
        number = next(calls)
        row = {
            **SCHEME,
            "exercise": planned.exercise_id,
            "version": planned.version + number,
            "load_value": f"{LEAST_LOAD + 0.5 * (number % LOADS):g}",
            "reps": str(LEAST_REPS + number // LOADS),
        }
        expect(stage.browser.post(path, row, headers=headers), 200, b'hx-swap-oob="true"')

    return step
