"""The one error the engine raises, and the checks that raise it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

MAX_REPS = 1000
MAX_LOAD = 10_000
MAX_ITEMS = 10_000


class EngineError(ValueError):
    """Bad input to the engine, as one sentence: what is wrong, the value, what would be right."""

    def __init__(self, what: str, value: object = None, right: str = "") -> None:
        self.what, self.value, self.right = what, value, right
        super().__init__(what, value, right)

    def __str__(self) -> str:
        if not self.right:
            return self.what
        return f"{self.what} is {shown(self.value)}; it should be {self.right}."


def shown(value: object) -> str:
    """A value as short text; never raises, whatever the value is."""
    try:
        text = repr(value)
    except Exception:  # a hostile or enormous value must not hide the message about it
        text = f"a {type(value).__name__} that cannot be shown"
    return text if len(text) <= 60 else text[:57] + "..."


def number(name: str, value: Any, low: float, high: float, *, open_low: bool = False) -> float:
    """`value` as a finite float within [low, high], or (low, high] with `open_low`; else EngineError."""
    right = f"a number {'above' if open_low else 'from'} {low:g} {'up ' if open_low else ''}to {high:g}"
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise EngineError(name, value, right)
    # integers are compared before the conversion: float(10**400) overflows
    if not low <= value <= high or (open_low and value == low):
        raise EngineError(name, value, right)
    return float(value)


def positive_float(name: str, value: Any, high: float = MAX_LOAD) -> float:
    """A finite number above zero and at most `high`."""
    result = number(name, value, 0, high, open_low=True)
    if result < 1e-9:
        raise EngineError(name, value, f"a number from 0.000000001 to {high:g}")
    return result


def non_negative_float(name: str, value: Any, high: float = MAX_LOAD) -> float:
    """A finite number from zero to `high`."""
    return number(name, value, 0, high)


def whole(name: str, value: Any, low: int, high: int) -> int:
    """An int within [low, high]; floats and bools are refused."""
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        raise EngineError(name, value, f"a whole number from {low} to {high}")
    return value


def text(name: str, value: Any, longest: int = 200) -> str:
    """A string of at most `longest` characters."""
    if not isinstance(value, str) or len(value) > longest:
        raise EngineError(name, value, f"text of at most {longest} characters")
    return value


def one_of(name: str, value: Any, choices: Sequence[str]) -> str:
    """One of the given strings."""
    if not isinstance(value, str) or value not in choices:
        raise EngineError(name, value, "one of " + ", ".join(choices))
    return value


def instance(name: str, value: Any, kind: type | tuple[type, ...], right: str = "") -> Any:
    """`value` itself when it is an instance of `kind`."""
    if not isinstance(value, kind):
        kinds = kind if isinstance(kind, tuple) else (kind,)
        raise EngineError(name, value, right or "a " + " or ".join(k.__name__ for k in kinds))
    return value


def items(name: str, value: Any, *, empty: bool = True, most: int = MAX_ITEMS) -> tuple[Any, ...]:
    """A list or tuple as a tuple, with at most `most` members, not empty unless allowed."""
    if not isinstance(value, (list, tuple)):
        raise EngineError(name, value, "a list or tuple")
    if len(value) > most or (not value and not empty):
        raise EngineError(name, value, f"a list of {0 if empty else 1} to {most} members")
    return tuple(value)


def finite(name: str, value: float) -> float:
    """A computed value, checked once more on the way out."""
    if not math.isfinite(value):
        raise EngineError(name, value, "within the range the engine can compute")
    return value
