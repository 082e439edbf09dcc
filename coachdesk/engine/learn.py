"""What a client's own log teaches: RIR bias, repetition capacity, recovery, and whether RIR answers say anything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .constants import value
from .errors import EngineError, instance, items, number, text, whole
from .learn_bias import bias_pairs, settled_bias
from .learn_recovery import Bout, recovery_evidence, settled_recovery
from .strength import StrengthLog, run_log
from .strength_values import Observation, Prior

__all__ = ["Bout", "ExerciseSeen", "Honesty", "Learned", "honesty", "learn_bias", "learn_client", "prior_from_log"]

_SAME_ANSWERS = int(value("uninformative_sets"))
Key = str | int


@dataclass(frozen=True)
class ExerciseSeen:
    """Everything logged of one exercise (one side, one machine): its sets, the assumed capacity, whole sessions.

    `sessions`: first bouts of sessions of two and more sets, in order with the rests between, for recovery.
    """

    key: Key
    observations: tuple[Observation, ...]
    endurance: float = 1.0
    sessions: tuple[tuple[Bout, ...], ...] = ()

    def __post_init__(self) -> None:
        if isinstance(self.key, bool) or not isinstance(self.key, (str, int)):
            raise EngineError("exercise key", self.key, "a short text or a whole number")
        if isinstance(self.key, str):
            text("exercise key", self.key)
        for seen in items("observations", self.observations):
            instance("observation", seen, Observation)
        number("endurance", self.endurance, 0.2, 5)
        for session in items("sessions", self.sessions):
            for bout in items("session", session, most=100):
                instance("bout", bout, Bout)


@dataclass(frozen=True)
class Learned:
    """What the log says of a person, shrunk towards the defaults.

    `rir_bias`: reps to add to a typed RIR (positive: more is left than typed), with its sd. `endurance`: (exercise,
    repetition capacity, sd) where the loads lie far enough apart. `recovery`: how many times a second of rest counts
    (1 until enough sessions; above 1: recovers faster). `n`: sets read.
    """

    rir_bias: float
    rir_bias_sd: float
    endurance: tuple[tuple[Key, float, float], ...]
    recovery: float
    n: int
    recovery_sd: float = 0.0

    def __post_init__(self) -> None:
        number("RIR bias", self.rir_bias, -10, 10)
        number("sd of the RIR bias", self.rir_bias_sd, 0, 10)
        for one in items("endurance", self.endurance, most=500):
            parts = items("learned endurance", one)
            if len(parts) != 3:
                raise EngineError("learned endurance", one, "exercise, capacity and sd")
            number("endurance", parts[1], 0.2, 5)
            number("sd of endurance", parts[2], 0, 5)
        number("recovery", self.recovery, 0.01, 100)
        whole("sets", self.n, 0, 10_000_000)
        number("sd of recovery", self.recovery_sd, 0, 100)

    def prior(self, seen: ExerciseSeen) -> Prior:
        """The belief to estimate this exercise with: its assumed capacity and the person's bias."""
        instance("exercise", seen, ExerciseSeen)
        return Prior(seen.endurance, rir_bias=self.rir_bias, rir_bias_sd=max(0.05, self.rir_bias_sd))


def learn_client(seen: Sequence[ExerciseSeen], curve: str = "handbook") -> Learned:
    """Learn from all exercises of a client together; the bias of typed RIR is the person's, capacity the exercise's.

    The bias is told by sets planned to failure beside sets with a typed RIR; capacity by sets near failure at loads
    15 points of 1RM apart; recovery by sessions of several sets. Nothing to learn from gives the defaults.
    """
    pairs: list[float] = []
    logs: list[tuple[ExerciseSeen, StrengthLog]] = []
    n = 0
    for one in items("exercises", seen, most=500):
        instance("exercise", one, ExerciseSeen)
        n += len(one.observations)
        if one.observations:
            log = run_log(one.observations, max(o.on for o in one.observations), curve, Prior(one.endurance))
            pairs += bias_pairs(one.observations, curve, one.endurance)
            logs.append((one, log))
    bias, bias_sd = settled_bias(pairs)
    recovery = settled_recovery([recovery_evidence(one.sessions, curve, one.endurance) for one in seen])
    return Learned(bias, bias_sd, tuple(_capacities(logs)), recovery.pace, n, recovery.sd)


def learn_bias(observations: Sequence[Observation], endurance: float = 1.0) -> tuple[float, float]:
    """(reps to add to a typed RIR, sd) from the sets of one exercise; (0, spread between people) without evidence."""
    given = items("observations", observations)
    for seen in given:
        instance("observation", seen, Observation)
    return settled_bias(bias_pairs(given, "handbook", number("endurance", endurance, 0.2, 5)))


def prior_from_log(observations: Sequence[Observation], endurance: float = 1.0) -> Prior:
    """The belief to estimate one exercise with, from its own sets in order of days: RIR bias, and whether answers say
    anything. The newest set is left aside: it must not judge itself, or more of it could lower the estimate.
    """
    known = list(items("observations", observations))[:-1]
    bias, bias_sd = learn_bias(known, endurance)
    return Prior(endurance, rir_bias=bias, rir_bias_sd=bias_sd, trust_rir=honesty(known).informative)


def _capacities(logs: Sequence[tuple[ExerciseSeen, StrengthLog]]) -> list[tuple[Key, float, float]]:
    found = []
    for one, log in logs:
        known = log.strength(max(o.on for o in one.observations))
        if known and known.endurance is not None and known.endurance_sd is not None:
            found.append((one.key, known.endurance, known.endurance_sd))
    return found


@dataclass(frozen=True)
class Honesty:
    """Whether typed RIRs say anything: `sets` newest answers in a row were all `answer` over varied work."""

    informative: bool
    sets: int
    answer: float | None = None

    def __post_init__(self) -> None:
        instance("informative", self.informative, bool)
        whole("sets", self.sets, 0, 10_000_000)
        if self.answer is not None:
            number("answer", self.answer, 0, 20)


def honesty(observations: Sequence[Observation], least: int = _SAME_ANSWERS) -> Honesty:
    """Judge the typed RIRs of a client (any exercises, in order of days).

    Uninformative: the newest `least` answers (15) or more are all the same while loads or reps vary. Tests, sets to
    failure and sets without an answer are not counted.
    """
    whole("least sets", least, 2, 1000)
    given = items("observations", observations)
    for seen in given:
        instance("observation", seen, Observation)
    typed = [o for o in given if o.rir and not o.test and not o.lower_bound]
    typed.sort(key=lambda o: o.on)
    if not typed:
        return Honesty(True, 0)
    answer = typed[-1].rir
    run = []
    for seen in reversed(typed):
        if seen.rir != answer:
            break
        run.append((seen.load_kg, seen.reps))
    return Honesty(len(run) < least or len(set(run)) < 2, len(run), answer)
