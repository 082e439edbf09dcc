"""What a started desk does about Python's garbage collector, and what `measure` does like it."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager

from django.urls import get_resolver

# Most of a request's rows go by themselves; looking for the rest at every 700 new objects, which is Python's own
# pace, costs more than it finds. The whole heap is looked through when a quarter has been added, as always.
YOUNG = 10_000
# Rows that are made by the thousand and kept until they are inserted: a fifth of a seed's time went into looking.
MANY = (50_000, 50, 50)


def settle() -> None:
    """Load what requests will need, and leave what is loaded by now out of every later search for garbage.

    Searching all of Django and the desk again and again made one answer in twenty wait 0.1 s and more.
    """
    assert get_resolver().url_patterns  # views, forms and everything below them
    gc.collect()
    gc.freeze()
    gc.set_threshold(YOUNG, *gc.get_threshold()[1:])


@contextmanager
def seldom_searched() -> Iterator[None]:
    """Look for garbage seldom while rows are made in bulk."""
    before = gc.get_threshold()
    gc.set_threshold(*MANY)
    try:
        yield
    finally:
        gc.set_threshold(*before)
