"""House rules between the engine's values and the text a coach reads and types."""

import re
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError

from clients.mapping import checked_rule
from coachdesk.engine import DEFAULT, EngineError
from coachdesk.engine.equations import CURVE_NAMES
from coachdesk.engine.number_words import group_of, rule_basis, rule_unit, words_for

PERCENT_UNITS = ("of ", "share")
# A place on a scale reads like a share and is none.
SCALES = ("of 10",)
# What a coach may type, by unit; the engine takes more, but a slip of the finger should be asked about here.
RANGES: dict[str, tuple[float, float]] = {
    "%": (0, 1000), "h": (0, 336), "s": (0, 3600), "min": (0, 240), "RIR": (0, 10), "reps": (1, 100), "sets": (0, 40),
    "sets a week": (0, 60), "units": (0, 60), "weeks": (0, 104), "days": (0, 730), "years": (5, 120), "x": (0.1, 10),
    "of 10": (0, 10), "reports": (1, 20), "x habit": (0.1, 10), "sessions": (1, 60), "sessions a week": (0, 14),
    "points": (0, 1000), "flags": (0, 40),
}  # fmt: skip
NUMBER = re.compile(r"[+-]?\d{1,9}(?:[.,]\d{1,6})?", re.ASCII)
LONGEST = 80


@dataclass(frozen=True)
class RuleSpec:
    """One rule as a page shows it: its words, unit, default and where that comes from."""

    name: str
    group: str
    words: str
    unit: str
    default: str
    basis: tuple[tuple[str, str], ...]

    @property
    def is_choice(self) -> bool:
        return self.name == "curve"


def is_percent(name: str) -> bool:
    """Whether a rule is a share that people write as a percentage."""
    return name != "warmup" and rule_unit(name).startswith(PERCENT_UNITS) and rule_unit(name) not in SCALES


def unit_words(name: str) -> str:
    """The unit as written beside the field: '%' (of something), 'h', 'sets a week'."""
    unit = rule_unit(name)
    return f"% {unit}".replace("% share", "%") if is_percent(name) else unit


def rule_spec(name: str) -> RuleSpec:
    """The rule of that name with the desk's default as text."""
    default = rule_text(name, getattr(DEFAULT, name))
    return RuleSpec(name, group_of(name), words_for(name), unit_words(name), default, rule_basis(name))


def rule_text(name: str, value: Any) -> str:
    """A rule's value as a coach writes it: '48', '2.5' (per cent), '6-16', '50 x 8, 70 x 4', 'handbook'."""
    try:
        if name == "warmup":
            return ", ".join(f"{_plain(100 * share)} x {_plain(reps)}" for share, reps in value)
        if name.startswith("band_"):
            return f"{_plain(value[0])}-{_plain(value[1])}"
        if isinstance(value, str):
            return value
        return _plain(100 * value if is_percent(name) else value)
    except (TypeError, ValueError, IndexError):
        return str(value)[:LONGEST]


def _plain(number: float) -> str:
    return f"{round(float(number), 6):g}" if abs(number) < 1e6 else str(number)


def read_rule(name: str, text: str) -> Any:
    """The JSON value of a typed rule. ValidationError says what is wrong, the value, and what would be right."""
    try:
        value = _read(name, text.strip())
        checked_rule(name, value)
    except EngineError as wrong:
        right = wrong.right or "another value"
        raise ValidationError(f"{_shown(text)} cannot be used; it should be {right}.") from None
    return value


def _read(name: str, text: str) -> Any:
    if name == "curve":
        if text not in CURVE_NAMES:
            raise ValidationError(f"{_shown(text)} is not a curve; choose one of {', '.join(CURVE_NAMES)}.")
        return text
    if name == "warmup":
        return _ladder(text)
    if name.startswith("band_"):
        ends = re.split(r"\s*(?:-|–|to)\s*", text)
        if len(ends) != 2:
            raise ValidationError(f"{_shown(text)} is not a band; write the least and the most, such as 6-16.")
        low, high = (_number(name, end, "6-16") for end in ends)
        if low > high:
            raise ValidationError(f"{_shown(text)} begins above its end; write the least first, such as 6-16.")
        return [low, high]
    number = _number(name, text, rule_text(name, getattr(DEFAULT, name)))
    return number / 100 if is_percent(name) else number


def _number(name: str, text: str, example: str) -> float:
    unit = "%" if is_percent(name) else rule_unit(name)
    if not NUMBER.fullmatch(text):
        raise ValidationError(f"{_shown(text)} is not a number; write one such as {example}.")
    number = float(text.replace(",", "."))
    low, high = RANGES.get(unit, (0, 1000))
    if not low <= number <= high:
        raise ValidationError(f"{text} {unit} is outside the range; write {low:g} to {high:g}.")
    return int(number) if number.is_integer() else number


def _ladder(text: str) -> list[list[float]]:
    """'50 x 8, 70 x 4' as [[0.5, 8], [0.7, 4]]; at most six sets."""
    right = "write per cent x reps, such as 50 x 8, 70 x 4"
    rows: list[list[float]] = []
    for part in re.split(r"\s*[;,]\s+|\s*;\s*|,(?=\s*\d+\s*%?\s*x)", text):
        found = re.fullmatch(r"(\d{1,3}(?:\.\d{1,2})?)\s*%?\s*[x×]\s*(\d{1,2})", part.strip(), re.ASCII)
        if found is None:
            raise ValidationError(f"{_shown(part)} is not a warm-up set; {right}.")
        rows.append([float(found[1]) / 100, int(found[2])])
    if len(rows) > 6:
        raise ValidationError(f"{len(rows)} warm-up sets are more than a sheet has room for; write 1 to 6.")
    return rows


def _shown(text: str) -> str:
    return f"'{text[:40]}'"
