"""Reading days: which order day and month stand in is a question about the whole file, never guessed row by row."""

import re
from collections.abc import Iterable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from programs.intake.cells import WrongCellError

_SLASHED = re.compile(r"(\d{1,2})[/-](\d{1,2})[/-](\d{4})(?:[ T]\d{1,2}:\d{2}.*)?", re.ASCII)
_DOTTED = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", re.ASCII)
_ISO = re.compile(r"\d{4}-\d{1,2}-\d{1,2}", re.ASCII)
_NAMED = re.compile(r"(\d{1,2})[ -]([A-Za-z]{3,9})[ -](\d{4})", re.ASCII)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
ORDERS = {"dmy": "day first, as 24/11/2026", "mdy": "month first, as 11/24/2026"}
MOST = 40


def order_of(texts: Iterable[str]) -> str | None:
    """'dmy' or 'mdy' as the file itself shows, '' when every day with slashes could be either, None without any."""
    found = None
    for text in texts:
        slashed = _SLASHED.fullmatch(text[:MOST])
        if slashed:
            first, second = int(slashed[1]), int(slashed[2])
            if first > 12 or second > 12:
                return "dmy" if first > 12 else "mdy"
            if first != second:
                found = ""
    return found


def read_day(text: str, order: str, zone: str) -> date:
    """A day as written; an instant with an offset counts on the day it was in `zone`. WrongCellError."""
    if len(text) > MOST:
        raise WrongCellError("is no date; write it like 2026-11-24")
    try:
        return _read(text.strip(), order, zone)
    except (ValueError, OverflowError) as problem:
        if isinstance(problem, WrongCellError):
            raise
        raise WrongCellError("is a day that does not exist; write one like 2026-11-24") from None


def _read(text: str, order: str, zone: str) -> date:
    if _ISO.fullmatch(text):
        return date(*map(int, text.split("-")))
    dotted, slashed, named = _DOTTED.fullmatch(text), _SLASHED.fullmatch(text), _NAMED.fullmatch(text)
    if dotted:
        return date(int(dotted[3]), int(dotted[2]), int(dotted[1]))
    if slashed:
        first, second, year = (int(slashed[n]) for n in (1, 2, 3))
        if not order and first != second:
            raise WrongCellError("could be day or month first; say which above")
        return date(year, first, second) if order == "mdy" else date(year, second, first)
    if named and named[2][:3].lower() in _MONTHS:
        return date(int(named[3]), _MONTHS.index(named[2][:3].lower()) + 1, int(named[1]))
    if _ISO.match(text) and text[10:11] in ("T", " "):
        at = datetime.fromisoformat(text)
        return at.astimezone(ZoneInfo(zone)).date() if at.tzinfo else at.date()
    raise WrongCellError("is no date; write it like 2026-11-24, 24.11.2026 or 24 Nov 2026")
