"""Pages that are only read: the floor that every other number is compared with, the roster, and one client's pages."""

from typing import Any

from django.db.models import Count
from django.test import Client as Browser
from django.urls import reverse

from clients.models import Client
from coachdesk.management.benchmarks.harness import Step
from coachdesk.management.benchmarks.prescribe import engine_caches
from coachdesk.management.benchmarks.stage import Stage
from programs.logs.models import MuscleWeek


def expect(response: Any, status: int, holds: bytes) -> None:
    """Raises RuntimeError unless the answer is the page that was meant to be measured."""
    if response.status_code != status or holds not in response.content:
        words = f"{response.request['PATH_INFO']} answered {response.status_code}; expected {status} with {holds!r}"
        raise RuntimeError(f"{words}: {response.content[:300]!r}")


def _get(browser: Browser, name: str, holds: bytes, *args: int) -> Step:
    path = reverse(name, args=args)
    return lambda: expect(browser.get(path), 200, holds)


def make_floor(stage: Stage, times: int) -> Step:
    """The list of changes of somebody who has made none: middleware, sign-in, base page."""
    return _get(stage.newcomer, "practice:act_list", b"Every change is listed here")


def make_roster(stage: Stage, times: int) -> Step:
    """The owner's roster, every client a row."""
    return _get(stage.browser, "logs:roster", b'<div id="roster">')


def make_roster_cold(stage: Stage, times: int) -> Step:
    """The same with everything forgotten that the engine keeps; forgetting is on the clock, but takes no time."""
    step, forget = make_roster(stage, times), engine_caches()

    def cold() -> None:
        for cache in forget:
            cache.cache_clear()
        step()

    return cold


def _longest(stage: Stage) -> int:
    """The id of the client with the longest history, or any where nobody has one."""
    weeks = MuscleWeek.objects.filter(client__practice=stage.owner.practice).values("client").annotate(n=Count("id"))
    found = weeks.order_by("-n", "client").values_list("client", flat=True).first()
    return found or Client.objects.filter(practice=stage.owner.practice).order_by("id").values_list("id", flat=True)[0]


def make_client(stage: Stage, times: int) -> Step:
    """The page of the client with the longest history."""
    return _get(stage.browser, "clients:client_detail", b"page-heading", _longest(stage))


def make_trends(stage: Stage, times: int) -> Step:
    """The trends of the client with the longest history."""
    return _get(stage.browser, "logs:client_trends", b"page-heading", _longest(stage))
