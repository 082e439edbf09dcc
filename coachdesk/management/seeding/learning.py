"""What is known of a client's maxima while their history is replayed: the log's own evidence, kept in memory."""

from collections.abc import Mapping, Sequence

from clients.models import Client
from coachdesk import engine
from programs.logs.evidence import best_observations
from programs.logs.models import SessionLog, SetLog
from programs.mapping import strengths_by_exercise
from programs.models import StrengthEstimate, StrengthObservation
from programs.selectors import observations_of
from programs.services.strength import estimate_from

Key = tuple[int, str, str]


class Learner:
    """Observations and estimates of one client, worked out by the functions that the log services use."""

    def __init__(self, client: Client) -> None:
        self.fresh: list[StrengthObservation] = []
        self._seen: dict[Key, list[StrengthObservation]] = {}
        self._estimates: dict[Key, StrengthEstimate] = {}
        self._learn(list(observations_of(client)))

    @property
    def strengths(self) -> Mapping[int, engine.Strength]:
        """What to prescribe from, by exercise."""
        return strengths_by_exercise(self._estimates.values())

    def read(self, session_log: SessionLog, sets: Sequence[SetLog]) -> None:
        """Take in one session, later than all before it; `fresh` grows by its evidence."""
        rows = best_observations(session_log, sets)
        exercises = {row.exercise_id: row.exercise for row in sets}
        for row in rows:
            row.exercise = exercises[row.exercise_id]
        self.fresh += rows
        self._learn(rows)

    def _learn(self, rows: list[StrengthObservation]) -> None:
        keys = [(row.exercise_id, row.side, row.machine) for row in rows]
        for key, row in zip(keys, rows, strict=True):
            self._seen.setdefault(key, []).append(row)
        for key in dict.fromkeys(keys):
            found = estimate_from(self._seen[key])
            if found is not None:
                self._estimates[key] = found
