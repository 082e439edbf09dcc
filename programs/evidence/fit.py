"""Where a client differs from those who were studied, in words: training age, age, sex, aim, exercise."""

from dataclasses import dataclass
from datetime import date

from clients.mapping import age_on, precautions_on
from clients.models import Client
from programs.models import EvidenceCard, Exercise

UNKNOWN = "not known"
# What a client trains for, and the outcomes that speak to it directly.
SPEAKS_TO = {
    Client.Goal.SIZE: {"size"}, Client.Goal.STRENGTH: {"strength"}, Client.Goal.HEALTH: {"health"},
    Client.Goal.REHAB: {"health"},
}  # fmt: skip
# Measured on anybody, these bear on every aim.
FOR_EVERYONE = {"recovery", "reps", "time", "judgement", "load", ""}


@dataclass(frozen=True)
class FitLine:
    """One side of the comparison: what was studied, what the client is; `verdict`: 'alike', 'differs', 'not known'."""

    what: str
    studied: str
    client: str
    verdict: str


def card_fit(card: EvidenceCard, client: Client, on: date, exercise: Exercise | None = None) -> list[FitLine]:
    """Line by line, never in one number: how far a study speaks for somebody is the coach's judgement."""
    lines = [_training(card, client), _age(card, client, on), _sex(card), _aim(card, client)]
    return lines + ([_exercise(card, exercise)] if exercise else []) + _health(client, on)


def differences(lines: list[FitLine]) -> int:
    return sum(line.verdict == "differs" for line in lines)


def _training(card: EvidenceCard, client: Client) -> FitLine:
    is_new = client.level == Client.Level.NOVICE
    verdict = UNKNOWN
    if card.training:
        alike = card.training == "mixed" or (card.training == "untrained") == is_new
        verdict = "alike" if alike else "differs"
    return FitLine("Training age", card.get_training_display() or UNKNOWN, client.get_level_display(), verdict)


def _age(card: EvidenceCard, client: Client, on: date) -> FitLine:
    age, verdict = age_on(client, on), UNKNOWN
    if card.ages and age is not None:
        above = card.age_high is not None and age > card.age_high
        below = card.age_low is not None and age < card.age_low
        verdict = "differs" if above or below else "alike"
    return FitLine("Age", card.ages or UNKNOWN, UNKNOWN if age is None else f"{age} years", verdict)


def _sex(card: EvidenceCard) -> FitLine:
    """The desk keeps no sex of a client, so a study of one sex can only be pointed at."""
    verdict = "alike" if card.sex == "both" else UNKNOWN
    return FitLine("Sex", card.get_sex_display() or UNKNOWN, "not recorded here", verdict)


def _aim(card: EvidenceCard, client: Client) -> FitLine:
    verdict = "alike" if card.measured in FOR_EVERYONE or card.measured in SPEAKS_TO[Client.Goal(client.goal)] else ""
    studied = card.get_measured_display() or UNKNOWN
    return FitLine("Aim", studied, client.get_goal_display(), verdict or "differs")


def _exercise(card: EvidenceCard, exercise: Exercise) -> FitLine:
    verdict = UNKNOWN
    if card.patterns:
        verdict = "alike" if exercise.pattern in card.patterns else "differs"
    return FitLine("Exercise", card.exercises or UNKNOWN, exercise.name, verdict)


def _health(client: Client, on: date) -> list[FitLine]:
    found = [row.words for row in precautions_on(client, on)]
    if not found and client.goal != Client.Goal.REHAB:
        return []
    words = "; ".join(found) or client.get_goal_display()
    return [FitLine("Health", "not stated", words, UNKNOWN)]
