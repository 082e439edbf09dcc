"""Exercises of a session that its sheet does not plan: where they stand, the set that comes next, and its settings."""

import re
from collections.abc import Sequence

from programs.logs.mapping import SheetStep, set_key, sheet_exercises, unplanned_step
from programs.logs.models import SessionLog, SetLog
from programs.mapping import Kits
from programs.models import Exercise

MOST_SETS = 99
_SLOT = re.compile(r"([1-9][0-9]{0,3})-([1-9][0-9]?)-1-([blr])")


def planned_positions(session_log: SessionLog) -> set[int]:
    """The places that the log's sheet gives to exercises."""
    return {one.position for one in sheet_exercises(session_log.sheet.body)} if session_log.sheet else set()


def extra_steps(session_log: SessionLog, sets: Sequence[SetLog]) -> list[tuple[SheetStep, str]]:
    """(the step to type next, the exercise's name) of each exercise and side that no sheet plans."""
    planned = planned_positions(session_log)
    last = {(row.position, row.exercise_id, row.side): row for row in sets if row.position not in planned}
    rows, choices = [row for row in last.values() if row.set_no < MOST_SETS], SettingChoices(session_log, sets)
    return [(_step(session_log, row, row.set_no + 1, row.side, choices), row.exercise.name) for row in rows]


def extra_step_of(session_log: SessionLog, slot: str) -> SheetStep | None:
    """The step at a place where an exercise stands that no sheet plans, or None."""
    found = _SLOT.fullmatch(slot)
    if found is None or int(found[1]) in planned_positions(session_log):
        return None
    sets = list(session_log.sets.filter(position=int(found[1])).select_related("exercise").order_by("id"))
    choices = SettingChoices(session_log, sets)
    return _step(session_log, sets[-1], int(found[2]), found[3], choices) if sets else None


def is_free(session_log: SessionLog, slot: str, next_position: int) -> bool:
    """Whether an exercise can begin there: behind all others, or where the same step was logged from a page before."""
    here = session_log.sets.filter(key=set_key(session_log.key, slot))
    return slot.partition("-")[0] == str(next_position) or here.exists()


class SettingChoices:
    """The settings to choose from in a session: those of the place, and what was typed of the exercise before."""

    def __init__(self, session_log: SessionLog, sets: Sequence[SetLog] = ()) -> None:
        self._log, self._sets, self._kits = session_log, sets, Kits()

    def of(self, exercise: Exercise) -> tuple[str, ...]:
        """Easiest first; none where the exercise has loads."""
        typed = [one.setting for one in self._sets if one.setting and one.exercise_id == exercise.pk]
        return tuple(dict.fromkeys([*self._kits.settings(self._log.where, exercise), *typed]))

    def of_set(self, row: SetLog) -> tuple[str, ...]:
        """For a set that no sheet plans; none where it has a load."""
        return self.of(row.exercise) if row.load is None else ()

    def bands(self) -> tuple[str, ...]:
        """The bands of the place by name, for a hint."""
        return tuple(
            dict.fromkeys(name for one in self._kits.at(self._log.where).get("band", ()) for name in one.steps)
        )


def _step(session_log: SessionLog, like: SetLog, set_no: int, side: str, choices: SettingChoices) -> SheetStep:
    return unplanned_step(
        like.exercise, like.position, set_no, side, unit=like.unit, body_kg=session_log.client.body_kg,
        settings=choices.of_set(like),
    )  # fmt: skip
