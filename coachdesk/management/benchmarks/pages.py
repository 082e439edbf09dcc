"""Pages that are only read: the floor that every other number is compared with, the roster, and one client's pages."""

from typing import Any

from django.test import Client as Browser
from django.urls import reverse

from coachdesk.management.benchmarks.harness import Step
from coachdesk.management.benchmarks.prescribe import engine_caches
from coachdesk.management.benchmarks.stage import Stage


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


def make_client(stage: Stage, times: int) -> Step:
    """The page of the client of whom most maxima are known."""
    return _get(stage.browser, "clients:client_detail", b"page-heading", stage.client.pk)


def make_trends(stage: Stage, times: int) -> Step:
    """The same client's trends."""
    return _get(stage.browser, "logs:client_trends", b"page-heading", stage.client.pk)
