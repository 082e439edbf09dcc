"""What one shipped evidence card records."""

from dataclasses import dataclass

NOT_STATED = "Not stated in what this desk holds."


@dataclass(frozen=True)
class Card:
    """One study or document. `about` and `patterns` are codes separated by spaces; '' and None mean not known here.

    training: untrained, trained, mixed or ''; sex: men, women, both or ''; measured: size, strength, reps, recovery,
    time, judgement, health or load; basis: seen, report or memory.
    """

    code: str
    title: str
    about: str
    who: str
    exercises: str
    protocol: str
    outcome: str
    limits: str
    citation: str
    doi: str = ""
    basis: str = "seen"
    training: str = ""
    age_low: int | None = None
    age_high: int | None = None
    sex: str = ""
    n: int | None = None
    measured: str = ""
    patterns: str = ""
