"""Whether every number of a written line stands somewhere in the scheme that was read from it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from .scheme import Scheme, StepRule, expand
from .scheme_codec import scheme_to_json

_TIME = re.compile(r"(\d+)(?::(\d\d)| ?min (\d+) ?s)")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)*")
# '75 % of 1RM' says of what, not how much.
_OF_WHAT = re.compile(r"\b1 ?rm\b")


def left_out(line: str, scheme: Scheme) -> tuple[str, ...]:
    """The numbers of a normal line that the scheme holds in no form: as they are, in seconds, or as RIR for an RPE."""
    # a single set, or a step of one set, is written and needs no number of its own
    there = {1.0, *_totals(scheme), *(round(number, 6) for number in _held(scheme_to_json(scheme)))}
    times = [t[0] for t in _TIME.finditer(line) if int(t[1]) * 60 + int(t[2] or t[3]) not in there]
    rest = _OF_WHAT.sub(" ", _TIME.sub(" ", line))
    return (*times, *(found for found in _NUMBER.findall(rest) if not _stands(found, there)))


def _stands(number: str, there: set[float]) -> bool:
    """A comma is a decimal comma or parts a list: '5,3' is five and three where nothing is 5.3."""
    if re.fullmatch(r"\d+(?:[.,]\d+)?", number) and round(float(number.replace(",", ".")), 6) in there:
        return True
    return "," in number and all(_NUMBER.fullmatch(part) and float(part) in there for part in number.split(","))


def _totals(scheme: Scheme) -> Iterator[float]:
    """How many sets alike follow each other, and the reps of a set that is done in parts: '2 x 5 (2+2+1)'."""
    alike = 0
    before: tuple[StepRule, ...] = ()
    for steps in expand(scheme):
        if before and not _alike(before, steps):
            yield alike
            alike = 0
        alike, before = alike + 1, steps
        yield sum(step.reps.low or 0 for step in steps)
    yield alike


def _alike(before: tuple[StepRule, ...], steps: tuple[StepRule, ...]) -> bool:
    same = [step.load.kind == "same" or step.load == was.load for was, step in zip(before, steps, strict=False)]
    return len(before) == len(steps) and all(same) and [s.reps for s in before] == [s.reps for s in steps]


def _held(value: object) -> Iterator[float]:
    """Every number of a scheme, and how many there are of what it lists."""
    if isinstance(value, dict):
        for one in value.values():
            yield from _held(one)
    elif isinstance(value, list):
        yield len(value)
        for one in value:
            yield from _held(one)
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        # loads are kept in thousandths, shares as parts of one, times in seconds, RPE as 10 less the RIR
        yield from (value, abs(value) / 1000, value * 100, value / 60, 10 - value)
