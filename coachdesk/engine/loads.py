"""Loads as whole thousandths of the unit stamped on the equipment: reading, showing, converting."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from .errors import EngineError, one_of, whole

UNITS = ("kg", "lb")
# 1959 international agreement, NIST SP 811: exact
KG_PER_LB = Fraction(45359237, 100_000_000)
MOST_KG = 2000
MOST_THOUSANDTHS = 10_000_000
_NUMBER = re.compile(r"\d{1,6}(?:[.,]\d{1,3})?")
_ASSISTED = re.compile(
    r"(?:[-\u2212]\s*(.+?)(?:\s+assist(?:ance|ed)?)?|assist(?:ance|ed)?\s+(.+)|(.+?)\s+assist(?:ance|ed)?)", re.I
)


@dataclass(frozen=True)
class Load:
    """A load in whole thousandths of `unit` ('kg' or 'lb'); ordered within one unit only."""

    thousandths: int
    unit: str

    def __post_init__(self) -> None:
        whole("load", self.thousandths, 0, MOST_THOUSANDTHS)
        one_of("unit", self.unit, UNITS)

    def __lt__(self, other: object) -> bool:
        if not isinstance(other, Load) or other.unit != self.unit:
            raise EngineError("other load", other, f"a load in {self.unit}")
        return self.thousandths < other.thousandths

    def __le__(self, other: object) -> bool:
        return self == other or self < other

    def __gt__(self, other: object) -> bool:
        return not self <= other

    def __ge__(self, other: object) -> bool:
        return not self < other

    def __str__(self) -> str:
        return f"{format_load(self.thousandths)} {self.unit}"

    @property
    def value(self) -> Decimal:
        """The load in its unit, exact."""
        return Decimal(self.thousandths) / 1000


def plain_digits(text: str) -> str:
    """Full-width digits as plain ones; raised and circled ones stay, so that 8 with a raised 2 is never read as 82."""
    kept = (c if c.isdigit() and not c.isdecimal() else unicodedata.normalize("NFKC", c) for c in text)
    return "".join(kept).strip()


def decimal_text(name: str, text: Any, right: str = "a number such as 42.5") -> Fraction:
    """A typed number with point or comma and at most three decimals, exact; full-width digits read too."""
    if not isinstance(text, str) or len(text) > 40:
        raise EngineError(name, text, right)
    plain = plain_digits(text)
    if not plain.isascii() or not _NUMBER.fullmatch(plain):
        raise EngineError(name, text, right)
    return Fraction(plain.replace(",", "."))


def parse_load(text: str, unit: str) -> Load:
    """What a person typed ('42,5' or '42.5', the unit may follow) as a Load; at most 2000 kg."""
    one_of("unit", unit, UNITS)
    if isinstance(text, str) and text.strip().lower().endswith(unit):
        text = text.strip()[: -len(unit)]
    right = f"a load in {unit} such as 42.5, with at most three decimals and at most {MOST_KG} kg"
    number = decimal_text("load", text, right)
    thousandths = int(number * 1000)
    if to_kg(thousandths, unit) > MOST_KG:
        raise EngineError("load", text, right)
    return Load(thousandths, unit)


def format_load(thousandths: int) -> str:
    """'42.5' for 42500: no trailing zeros, no unit; '-20' for 20 of assistance."""
    whole("load", thousandths, -MOST_THOUSANDTHS, MOST_THOUSANDTHS)
    units, rest = divmod(abs(thousandths), 1000)
    sign = "-" if thousandths < 0 else ""
    return sign + (f"{units}.{rest:03d}".rstrip("0") if rest else str(units))


def load_in_words(thousandths: int, unit: str) -> str:
    """'42.5 kg', and '20 kg assistance' for -20000: never a bare minus, which reads like a drop."""
    whole("load", thousandths, -MOST_THOUSANDTHS, MOST_THOUSANDTHS)
    words = f"{format_load(abs(thousandths))} {one_of('unit', unit, UNITS)}"
    return f"{words} assistance" if thousandths < 0 else words


def parse_added(text: str, unit: str) -> int:
    """What a person typed as thousandths added to the body: '10', or '20 assistance' and '-20' as -20000.

    The unit may stand beside the number; another unit than `unit` is refused.
    """
    one_of("unit", unit, UNITS)
    right = f"a load in {unit} such as 10, or '20 assistance', with at most three decimals and at most {MOST_KG} kg"
    if not isinstance(text, str) or len(text) > 60:
        raise EngineError("load", text, right)
    found = _ASSISTED.fullmatch(plain_digits(text))
    bare = next(part for part in found.groups() if part is not None) if found else text
    try:
        load = parse_load(bare, unit).thousandths
    except EngineError:
        raise EngineError("load", text, right) from None
    return -load if found else load


def convert(thousandths: int, from_unit: str, to_unit: str) -> Fraction:
    """Thousandths in another unit, exact; only for comparing and showing, never stored."""
    whole("load", thousandths, 0, MOST_THOUSANDTHS)
    one_of("unit", from_unit, UNITS)
    one_of("unit", to_unit, UNITS)
    if from_unit == to_unit:
        return Fraction(thousandths)
    return thousandths * KG_PER_LB if from_unit == "lb" else thousandths / KG_PER_LB


_KG = {"kg": 0.001, "lb": float(KG_PER_LB) / 1000}


def to_kg(thousandths: int, unit: str) -> float:
    """The load in kilograms as a float."""
    whole("load", thousandths, 0, MOST_THOUSANDTHS)
    return thousandths * _KG[one_of("unit", unit, UNITS)]


def from_kg(kg: float, unit: str) -> float:
    """Thousandths of `unit` (a float: a target, not yet makeable) for a load in kilograms."""
    if isinstance(kg, bool) or not isinstance(kg, (int, float)) or not 0 <= kg <= MOST_THOUSANDTHS / 1000:
        raise EngineError("load in kg", kg, f"a number from 0 to {MOST_THOUSANDTHS // 1000}")
    return kg / _KG[one_of("unit", unit, UNITS)]
