"""The marks of the trade's written notation: the patterns a line is read with, and the text they stand for."""

from __future__ import annotations

import re
import unicodedata
from re import Match, Pattern

from .effort import rir_for_rpe
from .scheme_words import plain

NUMBER = r"(?>\d{1,6}(?:[.,]\d{1,3})?)"  # whole or not at all: half a number is another number
_TIME = (
    rf"(?:(?P<clock>\d{{1,2}}:[0-5]\d)|(?P<time>{NUMBER})\s*(?P<unit>s(?:ec(?:ond)?s?)?\b|min(?:ute)?s?\b)?"
    rf"(?:\s*(?P<more>{NUMBER})\s*s(?:ec)?\b)?)"
)
_LOAD = (
    r"(?:(?P<none>bw\b|body\s?weight\b)(?:\s*(?P<added>[-+]\s*[\d.,]{1,10})\s*(?P<added_unit>kg|lb))?s?"
    r"|(?P<same>same(?:\s+load)?)\b|place\s*(?P<place>\d{1,3})"
    r"|(?P<places>\d{1,2})\s*(?:places?\s*)?(?P<way>down|up)\b"
    rf"|(?P<sign>[-+]?)\s*(?P<value>{NUMBER})\s*(?P<mark>%|kg|lb|rm)s?(?![a-wyz])(?:\s*(?:of\s+)?1\s*rm\b)?)"
)
_REPS = (
    r"(?:(?P<failure>(?:to\s+)?failure\b|amrap\b)|at\s+least\s+(?P<least>\d{1,4})"
    r"|(?P<low>\d{1,6}+)(?:\s*(?:-|to)\s*(?P<high>\d{1,6}+)(?![.,]\d|\s*(?:%|kg|lb|rm)))?"
    r"(?:\s*(?P<what>\+(?!\s*\d)|s(?:ec(?:ond)?s?)?\b|min(?:ute)?s?\b|m(?:et(?:re|er)s?)?\b|reps?\b))?)"
)
_BOUT = r"(?:to failure|at least \d{1,4}|\d{1,6}(?:-\d{1,6})?(?: [sm]\b)?)"


def _pattern(text: str) -> Pattern[str]:
    return re.compile(rf"\s*{text}")


GAP = re.compile(r"[\s()\[\]]+")
SEPARATOR = _pattern(r"(?P<sep>[,;/]|then\b|and\b|top\s+sets?\b|back-?offs?(?:\s+sets?)?\b)")
COUNT = _pattern(rf"(?P<count>{NUMBER})\s*(?:x|sets?\b\s*(?:of\b|x)?)(?:\s*\((?!\s*\d+\s*\+))?")
SETS_OF = _pattern(r"sets\s+of\b")
TIMES = _pattern(r"x\s*(?P<count>\d{1,2})(?!\d)(?:\s*sets?\b)?")
_LISTED = rf"{NUMBER}\s*(?:%|kg|lb|rm)?"
SLASHED = _pattern(rf"(?P<list>{_LISTED}(?:\s*/\s*{_LISTED})+)")
LOAD = _pattern(_LOAD)
LATER_LOAD = _pattern(rf"(?:(?:@|at\b|with\b|,)\s*)?{_LOAD}(?!\s*x)")
REPS = _pattern(_REPS)
TIMES_REPS = _pattern(rf"x\s*{_REPS}")
LATER_REPS = _pattern(rf"(?:(?:of|for)\b\s*)?{_REPS}(?!\s*(?:x|rir|%|/|down|up|places?|more|in\s))")
RIR = _pattern(
    rf"(?:,\s*)?(?:(?:@|at\b|with\b)\s*)?(?:rir\s*:?\s*(?P<rir>{NUMBER})|(?P<before>{NUMBER})\s*(?:rir\b(?!\s*:?\s*\d)|in\s+reserve\b)"
    rf"|rpe\s*:?\s*(?P<rpe>{NUMBER})|(?P<rpe_before>{NUMBER})\s*rpe\b(?!\s*:?\s*\d))"
)
BARE_RIR = _pattern(r"@\s*(?P<rir>\d(?:[.,]5)?|10)(?![.,]?\d|\s*[%a-z])")
SIDE = _pattern(r"(?:,\s*)?(?P<side>left|right)\b")
REST = _pattern(rf"(?:with\s+)?rest\b\s*:?\s*(?:of\s+)?{_TIME}")
REST_BEHIND = _pattern(rf"(?:with\s+)?{_TIME}\s*rest\b")
LAST = _pattern(
    r"(?:the\s+)?last(?:\s+set)?\b(?:\s*(?:at\s+least\s*(?P<least>\d{1,4})|(?P<plus>\d{1,4})\s*\+))?"
    r"(?:[\s,]*(?:(?P<failure>to\s+failure\b|amrap\b|open\b)|stop(?:ping)?\s+at\s+rir\s*(?P<rir>\d{1,2}(?:[.,]\d{1,3})?)))?"
)
UNTIL = _pattern(r"until\s+(?P<target>\d{1,8})\s*(?P<unit>kg|lb)?s?(?:\s*x\s*reps\b)?")
MOST = _pattern(r"at\s+most\s+(?P<count>\d{1,4})(?:\s*sets?\b)?")
DROPS = _pattern(rf"(?P<to>drops?\s+(?:of\s+|to\s+)?|to\s+)?{_LOAD}\s*x\s*(?P<count>\d{{1,2}})(?!\d)")
MORE_BOUTS = _pattern(rf"(?P<count>\d{{1,2}})\s+more(?:\s+of\s+(?P<reps>{_BOUT}))?\s+after\s+{_TIME}(?:\s+each\b)?")
LISTED_BOUTS = _pattern(rf"(?P<list>{_BOUT}(?:\s*\+\s*{_BOUT})*)\s+after\s+{_TIME}(?:\s+each\b)?")
ON_TO = _pattern(rf"(?:on\s+)?to\s+(?P<total>\d{{1,4}})\s+reps\s+(?:with\s+pauses\s+of\s+|x\s*){_TIME}")
SHORT_BOUTS = _pattern(rf"\+\s*(?P<count>\d{{1,2}})\s*x\s*{_TIME}")
PLUS_BOUTS = _pattern(rf"(?P<list>\+\s*\d{{1,4}}(?:\s*\+\s*\d{{1,4}})*)\s*;\s*{_TIME}")
CLUSTER = _pattern(rf"\(\s*(?P<list>\d{{1,4}}(?:\s*\+\s*\d{{1,4}})+)\s*\)\s*{_TIME}")
SERIES = re.compile(rf";\s*then\s+after\s+{_TIME}\s*:\s*")
_KNOWN = r"\s*(?:[,;/()]|\b(?:rest|rir|rpe|left|right|then)\b|@|$)"
UNREAD = re.compile(rf".[^,;/()]*?(?={_KNOWN})", re.DOTALL)
HINTS = {
    "drop set": "drop_set", "light to heavy": "light_to_heavy", "rest-pause": "rest_pause", "rest pause": "rest_pause",
    "cluster": "cluster", "waves": "wave", "wave": "wave", "ascending pyramid": "ascending_pyramid",
    "descending pyramid": "descending_pyramid", "pyramid": "",
}  # fmt: skip
HINT = _pattern(rf"(?P<hint>{'|'.join(HINTS)})\b\s*:?")


def normal(text: str) -> str:
    """The line in one case, with one kind of x, dash and blank."""
    # '8²' is not 82: raised and circled digits stay what they are, and so mean nothing here
    flat = "".join(c if unicodedata.category(c) == "No" else unicodedata.normalize("NFKC", c) for c in text).lower()
    for typed, mark in (("\u00d7", "x"), ("\u2013", "-"), ("\u2014", "-"), ("\u2212", "-"), ("\u2010", "-")):
        flat = flat.replace(typed, mark)
    return " ".join(flat.split())


def seconds_text(found: Match[str]) -> str:
    """A time in seconds; '' for a small bare number, which may be minutes."""
    if found["clock"]:
        minutes, _, rest = found["clock"].partition(":")
        return str(int(minutes) * 60 + int(rest))
    value, more = _float(found["time"]), _float(found["more"] or "0")
    unit = found["unit"] or ""
    if not unit and value <= 10:
        return ""
    return plain(value * (60 if unit.startswith("min") else 1) + more)


def load_text(found: Match[str], unit: str) -> str:
    """A load as `scheme_texts.read_load` reads it; body weight is 0 of `unit`, or what is added to it."""
    if found["none"]:
        added = (found["added"] or "0").replace(" ", "").lstrip("+")
        return f"{added} {found['added_unit'] or unit}"
    if found["same"]:
        return "same"
    if found["place"]:
        return f"place {found['place']}"
    if found["places"]:
        return f"{found['places']} {found['way']}"
    sign, mark = found["sign"], found["mark"]
    if mark in ("kg", "lb"):
        return f"{sign.rstrip('+')}{found['value']} {mark}"
    return f"{sign}{found['value']}{'RM' if mark == 'rm' else mark}"


def reps_text(found: Match[str]) -> str:
    """Reps as `scheme_texts.read_reps` reads them."""
    if found["failure"]:
        return "failure"
    if found["least"]:
        return f"at least {found['least']}"
    low, high, what = found["low"], found["high"], found["what"] or ""
    if what.startswith("min"):
        low, high = str(int(low) * 60), str(int(high) * 60) if high else None
        what = "s"
    unit = {"s": " s", "m": " m", "+": "+"}.get(what[:1], "")
    return (f"{low}-{high}" if high else low) + unit


def rir_text(found: Match[str]) -> str:
    """The reserve; a rating on the RPE scale as the middle of the reserve it stands for, '' outside the scale."""
    rating = found["rpe"] or found["rpe_before"]
    if not rating:
        return (found["rir"] or found["before"] or "").replace(",", ".")
    value = _float(rating)
    return plain(sum(rir_for_rpe(value)) / 2) if 5 <= value <= 10 else ""


def _float(text: str) -> float:
    return float(text.replace(",", "."))
