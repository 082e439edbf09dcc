"""Flags: what the desk wants the coach to look at, with the reason, the source and ways out."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from .because import Because, sentence
from .plans import Key
from .scheme import Scheme

SEVERITIES = ("stop", "check", "note")


@dataclass(frozen=True)
class Edit:
    """One change to the plan.

    target 'exercise' (key of the planned exercise): field 'scheme' (value a Scheme), 'remove' or 'last' (None:
    taken out, or moved to the end of its session); on the desk's rows also 'exercise' (value the key of another
    movement) and 'cue' (value words to add to the cue).
    target 'session' (session key): field 'day' (value an int, days since start) or 'remove' (None).
    target 'date' (key of a day to train towards): field 'remove' (None). On the desk's rows also field 'test' (key an
    exercise's, value an int: a test of it, in days since start).
    target 'client' (key a muscle code): field 'mark' (None: take the mark away).
    """

    target: str
    key: Key
    field: str
    value: Scheme | int | str | None


@dataclass(frozen=True)
class Remedy:
    """A way out the desk can apply: a label in words and the edits behind it."""

    label: str
    edits: tuple[Edit, ...]


class Where(NamedTuple):
    """The place of a flag; None where it does not apply."""

    week_no: int | None = None
    session_key: Key | None = None
    exercise_key: Key | None = None
    muscle: str | None = None


@dataclass(frozen=True)
class Flag:
    """One card: severity stop, check or note; `weeks` are all the weeks in which its cause is found."""

    code: str
    severity: str
    where: Where
    numbers: tuple[tuple[str, float | str], ...]
    because: Because
    source: str
    remedies: tuple[Remedy, ...]
    weeks: tuple[int, ...] = ()

    @property
    def sentence(self) -> str:
        """The reason in words."""
        return sentence(self.because)

    @cached_property
    def id(self) -> str:
        """Stable over processes: the same code, place and numbers give the same 16 hex digits."""
        place = (self.where.week_no, self.where.session_key, self.where.exercise_key, self.where.muscle)
        numbers = [(name, round(v, 3) if isinstance(v, float) else v) for name, v in self.numbers]
        return hashlib.sha256(repr((self.code, place, numbers)).encode()).hexdigest()[:16]
