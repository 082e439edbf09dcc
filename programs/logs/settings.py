"""Settings of bands and machines without units in the log: how the last time on them went."""

from collections.abc import Iterable
from typing import Any, Protocol


class Logged(Protocol):
    """The columns of a set log that are looked at."""

    exercise_id: int
    session_log_id: int
    setting: str
    step_no: int
    rep_kind: str
    reps: int
    rir: float | None
    planned_rir: float | None
    failed: bool


def last_settings(rows: Iterable[Logged]) -> dict[str, dict[str, Any]]:
    """By exercise id (as text): the setting of the last session's last set, and how its first bouts there went.

    `rows`: oldest first. {"setting", "reps" of each set, smallest "rir" (None: never typed), "planned_rir"}.
    """
    sessions: dict[int, list[Logged]] = {}
    for row in rows:
        if row.setting and row.step_no == 1 and row.rep_kind == "reps":
            mine = sessions.setdefault(row.exercise_id, [])
            if mine and mine[-1].session_log_id != row.session_log_id:
                mine.clear()
            mine.append(row)
    return {str(exercise): _told(mine) for exercise, mine in sorted(sessions.items())}


def _told(rows: list[Logged]) -> dict[str, Any]:
    here = [row for row in rows if row.setting == rows[-1].setting]
    typed = [0.0 if row.failed and row.rir is None else row.rir for row in here]
    known = [rir for rir in typed if rir is not None]
    asked = [row.planned_rir for row in here if row.planned_rir is not None]
    return {
        "setting": here[-1].setting, "reps": [row.reps for row in here], "rir": min(known, default=None),
        "planned_rir": max(asked, default=None),
    }  # fmt: skip
