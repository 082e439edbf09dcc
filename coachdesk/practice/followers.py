"""What follows from whatever an act wrote, told by the apps that keep it."""

from collections.abc import Callable

from coachdesk.practice.models import Values

# The values of all rows touched, before and after, by model.
Touched = dict[str, list[Values]]
_followers: list[Callable[[int, Touched], None]] = []


def follow(refresh: Callable[[int, Touched], None]) -> None:
    """Register `refresh(practice id, touched rows)` to run inside every act, after what it wrote."""
    _followers.append(refresh)


def tell(practice_id: int, touched: Touched) -> None:
    """Call everybody who follows, when an act has written anything."""
    for refresh in _followers if touched else ():
        refresh(practice_id, touched)
