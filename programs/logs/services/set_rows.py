"""The columns of set logs that facts are worked out from, read in one query."""

from datetime import date
from typing import NamedTuple

COLUMNS = (
    "session_log_id", "done_on", "exercise_id", "exercise__endurance", "exercise__equipment_kind", "position",
    "set_no", "side", "step_no", "rep_kind", "load", "body_load", "unit", "reps", "rir", "planned_rir", "failed",
)  # fmt: skip


class SetRow(NamedTuple):
    """One set log; load in thousandths of the unit."""

    session: int
    on: date
    exercise: int
    endurance: float
    equipment: str
    position: int
    set_no: int
    side: str
    step_no: int
    rep_kind: str
    load: int | None
    body_load: int | None
    unit: str
    reps: int
    rir: float | None
    planned_rir: float | None
    failed: bool

    @property
    def moved(self) -> int:
        """Thousandths of the unit, the body's part included as far as it is known."""
        return max(0, (self.load or 0) + (self.body_load or 0))

    @property
    def told_rir(self) -> float | None:
        """Reps left as far as known: as typed, none after a miss."""
        return self.rir if self.rir is not None else (0.0 if self.failed else None)
