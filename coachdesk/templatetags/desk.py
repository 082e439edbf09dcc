"""How loads, dates and efforts look on a page: one filter each, so they look alike everywhere."""

from datetime import date, datetime
from typing import Any

from django import template

from coachdesk.engine import format_load, from_kg, load_in_words, sentence

register = template.Library()


@register.filter
def load(thousandths: int | None) -> str:
    """42500 -> '42.5'; -14000 -> '14 assistance'; None -> a centred dot."""
    if thousandths is None:
        return "·"
    return f"{format_load(-thousandths)} assistance" if thousandths < 0 else format_load(thousandths)


@register.filter
def in_words(thousandths: int | None, unit: str) -> str:
    """42500 in kg -> '42.5 kg'; -14000 -> '14 kg assistance'; None -> a centred dot."""
    return "·" if thousandths is None else load_in_words(thousandths, unit)


@register.filter
def day(value: date | datetime | None) -> str:
    """'Tue 24 Nov'."""
    if value is None:
        return "·"
    return f"{value:%a} {value.day} {value:%b}"


@register.filter
def day_year(value: date | datetime | None) -> str:
    """'Tue 24 Nov 2026'."""
    return "·" if value is None else f"{value:%a} {value.day} {value:%b %Y}"


@register.filter
def number(value: float | None, places: int = 1) -> str:
    """A plain number with at most `places` decimals and no trailing zeros; None -> a centred dot."""
    if value is None:
        return "·"
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


@register.filter
def minutes(seconds: float | None) -> str:
    """Seconds as whole minutes: '52 min'."""
    return "·" if seconds is None else f"{round(seconds / 60)} min"


@register.filter
def clock(seconds: float | None) -> str:
    """Seconds as a rest is written: '90 s' below two minutes, else '2 min' or '2:30 min'."""
    if not seconds:
        return "·"
    whole = round(seconds)
    if whole < 120:
        return f"{whole} s"
    return f"{whole // 60} min" if whole % 60 == 0 else f"{whole // 60}:{whole % 60:02d} min"


@register.filter
def because(reason: Any) -> str:
    """A reason of the engine as a sentence."""
    return sentence(reason)


@register.filter
def lookup(mapping: dict[Any, Any], key: Any) -> Any:
    """mapping[key] or None, for keys that are variables."""
    return mapping.get(key)


@register.filter
def in_unit(kg: float, unit: str) -> str:
    """A mass in kg shown in kg or lb, to one decimal."""
    return number(from_kg(kg, unit) / 1000, 1)


@register.filter
def signed_in_unit(kg: float, unit: str) -> str:
    """A change in kg shown in kg or lb with its sign: '+2.5', '-1', '0'."""
    text = in_unit(abs(kg), unit)
    return text if text == "0" else f"{'+' if kg > 0 else '-'}{text}"
