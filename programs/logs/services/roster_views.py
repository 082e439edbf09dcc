"""Keeping views of the roster under a name, and forgetting them."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from programs.logs.models import RosterView


def keep_view(
    *, by: Membership, name: str, filters: Mapping[str, Any], is_shared: bool, now: datetime
) -> RosterView:  # fmt: skip
    """Keep a filter; under a name one has used already the view of that name becomes it. ValidationError."""
    with write(f"Keep the view {name}"[:200], by=by, subject="views", at=now) as tape:
        there = RosterView.objects.filter(owner=by, name=name).first()
        values = {"filters": dict(filters), "is_shared": is_shared, "owner_name": by.user.name}
        if there is None:
            return tape.create(RosterView(practice=by.practice, owner=by, name=name, **values))
        row = tape.lock(there)
        for field, value in values.items():
            setattr(row, field, value)
        return tape.save(row)


def remove_view(*, by: Membership, view: RosterView, now: datetime) -> None:
    """Forget a view; undo brings it back."""
    with write(f"Remove the view {view.name}", by=by, subject="views", at=now) as tape:
        tape.delete(view)
