"""Writing a change to many planned exercises as one act, provided they still stand as the preview showed them."""

from collections.abc import Mapping
from typing import Any

from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from programs.models import PlannedExercise, Program
from programs.services import subject_of


class PlanMovedError(Exception):
    """Somebody changed what the preview showed; nothing was written."""


def change_exercises(
    *, by: Membership, program: Program, label: str,
    changes: Mapping[int, tuple[Mapping[str, Any], Mapping[str, Any]]],
) -> int:  # fmt: skip
    """Give planned exercises (id -> values as they stand, values as they shall be) new values; gives how many changed.

    Values: scheme, exercise_id, cue. Raises PlanMovedError when one stands otherwise by now, Gone when it is deleted.
    """
    with write(label, by=by, subject=subject_of(program)) as tape:
        rows = tape.lock_all(PlannedExercise(pk=pk) for pk in sorted(changes))
        for row in rows:
            was, now = changes[row.pk]
            if any(getattr(row, name) != value for name, value in was.items()):
                raise PlanMovedError
            for name, value in now.items():
                setattr(row, name, value)
        return tape.save_all(rows)
