"""Whether what was stored is what was typed, after the desk's own normalisation (coachdesk/practice/text.py)."""

import re
import unicodedata
from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from typing import Any

from django.apps import apps

from coachdesk.practice.models import Act, Change
from coachdesk.practice.tape import fields_of
from coachdesk.practice.text import clean_text

# Loads are kept in thousandths, shares in per cent or thousandths, minutes as seconds.
SCALES = tuple(Decimal(text) for text in ("1", "1000", "0.01", "10", "60", "100"))
NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
PARTS = re.compile(r"[\d\s/.,%x@+-]*(kg|lb|reps|RIR|s|min|m)?", re.I)


def leaves(value: Any) -> Iterator[Any]:
    """Every plain value inside a JSON value."""
    if isinstance(value, dict):
        for one in value.values():
            yield from leaves(one)
    elif isinstance(value, (list, tuple)):
        for one in value:
            yield from leaves(one)
    elif value is not None:
        yield value


def stored_since(last_act: int) -> list[Any]:
    """Every value that acts after this one left in rows."""
    changes = Change.objects.filter(act__gt=last_act).exclude(after=None)
    return [leaf for after in changes.values_list("after", flat=True) for leaf in leaves(after)]


def everything_stored() -> Iterator[Any]:
    """Every value of every row of ours: for what a big new aggregate does not record one by one."""
    for model in apps.get_models():
        if model._meta.app_label in ("clients", "programs", "logs"):
            for row in model._default_manager.order_by("-pk")[:60]:
                yield from leaves(fields_of(row))


def last_act() -> int:
    return Act.objects.order_by("-pk").values_list("pk", flat=True).first() or 0


def normalised(typed: str) -> str:
    """What the desk may make of a text: cleaned, and without space around it."""
    return clean_text(typed).strip()


def holds(stored: Any, typed: str) -> bool:
    """Whether one stored value is what was typed."""
    wanted = normalised(typed)
    if isinstance(stored, str):
        # Digits of another script are the same digits.
        plain = unicodedata.normalize("NFKC", wanted)
        return wanted in (stored, stored.strip()) or stored == plain or _same_day(stored, plain)
    if isinstance(stored, bool):
        return False
    return any(_near(Decimal(str(stored)), number * scale) for number in numbers(wanted)[:1] for scale in SCALES)


def _near(one: Decimal, other: Decimal) -> bool:
    return abs(one - other) <= Decimal("1e-9") * max(1, abs(other))


def _same_day(stored: str, wanted: str) -> bool:
    found = re.fullmatch(r"(\d\d)\.(\d\d)\.(\d{4})", wanted)
    return bool(found) and stored == f"{found[3]}-{found[2]}-{found[1]}"  # type: ignore[index]


def numbers(text: str) -> list[Decimal]:
    """The numbers written in a text, full-width figures too; none where it holds anything but numbers."""
    if len(text) > 60 or not PARTS.fullmatch(text):
        return []
    try:
        return [Decimal(one.replace(",", ".")) for one in NUMBER.findall(text)]
    except InvalidOperation:
        return []


def kept(stored: list[Any], typed: str) -> bool:
    """Whether what was typed stands among the stored values, whole or (a scheme's '80/65/50') number by number."""
    if any(holds(one, typed) for one in stored):
        return True
    written = [abs(number) for number in numbers(normalised(typed).replace("-", "/"))]
    held = [abs(Decimal(str(one))) for one in stored if isinstance(one, (int, float)) and not isinstance(one, bool)]
    return bool(written) and all(any(_near(h, w * s) for h in held for s in SCALES) for w in written)
