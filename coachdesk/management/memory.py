"""What a started desk does about Python's garbage collector, and what `measure` does like it."""

import gc

from django.urls import get_resolver

# Most of a request's rows go by themselves; looking for the rest at every 700 new objects, which is Python's own
# pace, costs more than it finds. The whole heap is looked through when a quarter has been added, as always.
YOUNG = 10_000


def settle() -> None:
    """Load what requests will need, and leave what is loaded by now out of every later search for garbage.

    Searching all of Django and the desk again and again made one answer in twenty wait 0.1 s and more.
    """
    assert get_resolver().url_patterns  # views, forms and everything below them
    gc.collect()
    gc.freeze()
    gc.set_threshold(YOUNG, *gc.get_threshold()[1:])
