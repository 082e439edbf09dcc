"""Waiting for the desk as somebody at the screen does: until the answer is drawn, not only received."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from playwright.sync_api import expect


@contextmanager
def answered(page: Any, part: str = "/edit/", method: str = "POST") -> Iterator[Any]:
    """A context that ends when the desk has answered a request to this part and the page shows it."""
    with page.expect_response(lambda r: part in r.url and r.request.method == method) as answer:
        yield answer
    expect(page.locator(".htmx-request, .htmx-swapping, .htmx-settling")).to_have_count(0)


def until(page: Any, holds: Callable[[], object], seconds: float = 30) -> None:
    """Wait until something that the page's words do not tell is so, on a busy machine too.

    Raises:
        AssertionError: it was not so in time.
    """
    for _ in range(int(seconds * 10)):
        if holds():
            return
        page.wait_for_timeout(100)
    assert holds(), f"not within {seconds} s"
