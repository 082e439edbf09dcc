"""What is known of a client's maxima while their history is replayed: the log's own evidence, kept in memory."""

from collections.abc import Sequence
from typing import Any

from clients.models import Client, Place
from coachdesk import engine
from programs.logs.evidence import observations_from
from programs.logs.models import SessionLog, SetLog
from programs.logs.settings import last_settings
from programs.mapping import Here, bests_by_exercise, observation_of
from programs.models import StrengthObservation
from programs.selectors import observations_of

Key = tuple[int, str, str]


def _rank(key: Key, here: str, mean_kg: float) -> tuple[bool, bool, bool, float, str]:
    """This place's machine first, then one that is not known, then others'."""
    return (key[2] != here, key[2] != "", key[1] != "b", mean_kg, key[1])


class Learner:
    """Observations of one client and the estimates that follow, carried on from session to session.

    What is written in the end is worked out anew from all evidence (`refresh_estimates`); on the way the doubt about
    RIR answers and what hurt are left aside, so that a history costs a set at a time.
    """

    def __init__(self, client: Client) -> None:
        self.fresh: list[StrengthObservation] = []
        self._seen: dict[Key, list[StrengthObservation]] = {}
        self._logs: dict[Key, engine.StrengthLog] = {}
        self._strengths: dict[Key, engine.Strength] = {}
        self._bests = bests_by_exercise(client.timed_bests.all())
        self._settings: dict[str, Any] = {}
        self._learn(list(observations_of(client).select_related("exercise")))

    def at(self, place: Place | None) -> Here:
        """What to prescribe from at a place, by exercise: both sides together first, else the weaker side."""
        here = f"place:{place.pk}" if place else ""
        found: dict[int, engine.Strength] = {}
        for key in sorted(self._strengths, key=lambda k: _rank(k, here, self._strengths[k].mean_kg)):
            found.setdefault(key[0], self._strengths[key])
        return Here(found, bests=self._bests, settings=self._settings)

    def read(self, session_log: SessionLog, sets: Sequence[SetLog]) -> None:
        """Take in one session, later than all before it; `fresh` grows by its evidence."""
        rows = observations_from(session_log, sets)
        exercises = {row.exercise_id: row.exercise for row in sets}
        for row in rows:
            row.exercise = exercises[row.exercise_id]
        self.fresh += rows
        self._learn(rows)
        self._settings |= last_settings(sets)

    def _learn(self, rows: list[StrengthObservation]) -> None:
        fresh: dict[Key, list[StrengthObservation]] = {}
        for row in rows:
            fresh.setdefault((row.exercise_id, row.side, row.machine), []).append(row)
        for key, mine in fresh.items():
            seen, log = self._seen.setdefault(key, []), self._logs.get(key)
            seen += mine
            day = mine[-1].on
            if log is None or seen[-len(mine) - 1].on > mine[0].on:
                # a test was typed for a day still to come, or a session was moved: begin again
                log = engine.StrengthLog(mine[0].exercise.endurance)
                mine = sorted((row for row in seen if row.on <= day), key=lambda row: row.on)
                seen.sort(key=lambda row: row.on)
            for row in mine:
                log.add(observation_of(row))
            self._logs[key] = log
            found = log.strength(day)
            if found is not None:
                self._strengths[key] = found
