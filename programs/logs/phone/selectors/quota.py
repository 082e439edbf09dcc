"""Total reps of a set with pauses, and load x reps of an exercise, counted down while they are done."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from programs.logs.phone.selectors.rows import SetRows, StepRow


def set_quota(body: Mapping[str, Any], one: SetRows) -> SetRows:
    """The set with what is left of its total reps; bouts planned beyond the total are not needed."""
    total, unit = body.get("target") or (0, "")
    if unit != "reps" or not total or len({row.step.side for row in one.rows}) > 1:
        return one
    done = sum(row.log.reps for row in one.rows if row.log)
    if done >= total:
        rows = tuple(row if row.log or row.spare else replace(row, spare="not needed") for row in one.rows)
        return replace(one, rows=rows, quota=f"{done} of {total} reps, reached")
    return replace(one, quota=f"{done} of {total} reps, {total - done} left")


def volume_quota(body: Mapping[str, Any], rows: Sequence[StepRow]) -> str:
    """'3200 of 5000 kg, 1800 left', load x reps of all sets so far; '' where there is none."""
    total, unit = body.get("target") or (0, "")
    if unit not in ("kg", "lb") or not total:
        return ""
    done = sum((row.log.load or 0) * row.log.reps for row in rows if row.log and row.log.unit == unit) / 1000
    left = f"{total - done:g} left" if done < total else "reached"
    return f"{done:g} of {total:g} {unit} (load x reps), {left}"
