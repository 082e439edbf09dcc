"""What a client's typed RIR is worth: held against the model and against their own sets to failure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import sqrt
from statistics import NormalDist, fmean, stdev

from clients.models import Client
from coachdesk import engine
from coachdesk.engine.learn_bias import bias_pairs, settled_bias
from programs.logs.selectors.trends import evidence_name
from programs.mapping import Seen
from programs.selectors import Evidence, evidence_of, machine_names

WEEKS = 16
LEAST = 5
Z90 = NormalDist().inv_cdf(0.95)


@dataclass(frozen=True)
class EffortLine:
    """One exercise: `sets` with a typed RIR, their means as typed and as the model expects, and the difference.

    `low` and `high`: the 90 % interval of the mean difference, None under five sets.
    """

    name: str
    sets: int
    typed: float
    expected: float
    low: float | None
    high: float | None

    @property
    def difference(self) -> float:
        """Typed less expected: above 0 more was left, as typed, than the model expects."""
        return self.typed - self.expected


@dataclass(frozen=True)
class Effort:
    """The page. `bias`: reps to add to a typed RIR with its sd, told by `failures` sets to failure; None without any.

    `answers`: how often each answer was typed.
    """

    client: Client
    since: date
    lines: tuple[EffortLine, ...]
    bias: tuple[float, float] | None
    failures: int
    answers: tuple[tuple[float, int], ...]
    honesty: engine.Honesty
    unanswered: int

    @property
    def sets(self) -> int:
        return sum(n for _, n in self.answers)

    @property
    def _sets(self) -> str:
        return "1 set has" if self.sets == 1 else f"{self.sets} sets have"

    @property
    def sentence(self) -> str:
        """What the answers are worth, with the doubt."""
        if not self.sets:
            return f"No RIR was typed in the last {WEEKS} weeks, so there is nothing to hold against the model."
        if not self.honesty.informative:
            said = f"the last {self.honesty.sets} answers were all {self.honesty.answer:g} over varied work"
            return f"{self._sets} a typed RIR; {said}, so they do not tell how near to failure the sets were."
        if self.bias is None:
            return (
                f"{self._sets} a typed RIR; no set to failure stands beside them, so whether the answers are "
                "high or low cannot be told. The model's own expectation rests on the same answers."
            )
        low, high = self.bias[0] - Z90 * self.bias[1], self.bias[0] + Z90 * self.bias[1]
        verdict = "more is left than typed" if low > 0 else "less is left than typed" if high < 0 else (
            "whether more or less is left than typed is inside the doubt"
        )  # fmt: skip
        sets = "one set" if self.failures == 1 else f"{self.failures} sets"
        return (
            f"Held against {sets} to failure, {self.bias[0]:+.1f} reps belong to a typed RIR "
            f"({low:+.1f} to {high:+.1f}, 90 %): {verdict}. {self._sets} a typed RIR."
        )


def effort_of(client: Client, *, today: date) -> Effort:
    """The last sixteen weeks of evidence; two queries."""
    since, machines = today - timedelta(weeks=WEEKS), machine_names(client)
    lines: list[EffortLine] = []
    answers: dict[float, int] = {}
    pairs: list[float] = []
    every: list[engine.Observation] = []
    unanswered = 0
    for one in evidence_of(client, until=today):
        recent = [n for n, row in enumerate(one.rows) if row.on >= since]
        typed = [n for n in recent if _is_typed(one.rows[n])]
        every += [one.values[n] for n in recent]
        unanswered += sum(1 for n in recent if one.rows[n].rir is None and not one.rows[n].is_test)
        for n in typed:
            answer = one.rows[n].rir or 0.0
            answers[answer] = answers.get(answer, 0) + 1
        pairs += bias_pairs([one.values[n] for n in recent], "handbook", one.first.exercise.endurance)
        line = _line(one, typed, evidence_name(one.first, machines))
        lines += [line] if line else []
    lines.sort(key=lambda line: (-line.sets, line.name))
    bias = settled_bias(pairs) if pairs else None
    return Effort(
        client, since, tuple(lines), bias, len(pairs), tuple(sorted(answers.items())), engine.honesty(every), unanswered
    )


def _is_typed(row: Seen) -> bool:
    return row.rir is not None and not (row.is_test or row.to_failure or row.lower_bound)


def _line(evidence: Evidence, typed: Sequence[int], name: str) -> EffortLine | None:
    """Typed against expected; the estimate is that of the whole log, which has heard these answers too."""
    strength = evidence.strength(evidence.rows[-1].on)
    if strength is None or not typed:
        return None
    endurance = strength.endurance or evidence.first.exercise.endurance
    pairs = []
    for n in typed:
        seen = evidence.values[n]
        fraction = seen.load_kg / (strength.mean_kg * seen.strength_before)
        if 0 < fraction <= 1:
            left = engine.reps_for_fraction(fraction, endurance=endurance) - seen.reps
            pairs.append((evidence.rows[n].rir or 0.0, max(0.0, min(10.0, left))))
    if not pairs:
        return None
    gaps = [one - other for one, other in pairs]
    reach = Z90 * stdev(gaps) / sqrt(len(gaps)) if len(gaps) >= LEAST else None
    mean = fmean(gaps)
    return EffortLine(
        name, len(pairs), fmean(one for one, _ in pairs), fmean(other for _, other in pairs),
        None if reach is None else mean - reach, None if reach is None else mean + reach,
    )  # fmt: skip
