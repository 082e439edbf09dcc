"""Single typed texts of a scheme, read and written: reps, rest, a load, a row of a ladder."""

from __future__ import annotations

import re
from fractions import Fraction

from .errors import EngineError
from .errors import text as short_text
from .loads import UNITS, decimal_text, format_load, parse_load
from .scheme import LoadRule, RepRule, StepRule
from .scheme_words import plain

# reps are whole, so a comma right after them separates rows; one inside a load is a decimal comma
BETWEEN_ROWS = r";|,\s+|(?<=x\d),|(?<=x\d\d),|(?<=x \d),|(?<=x \d\d),"
_ITEM = re.compile(
    r"(?P<load>[^x@]+?)(?:\s*x\s*(?P<reps>[^@]+?))?(?:\s*@\s*(?:rir\s*)?(?P<rir>[\d.,]+|-))?\s*", re.IGNORECASE
)
_ROW = "a load, x and reps, such as 75 x 10"


def read_number(name: str, text: str, right: str) -> float:
    """A typed number, whole where it is; EngineError says what would be right."""
    value: Fraction = decimal_text(name, text, right)
    return int(value) if value.denominator == 1 else float(value)


def split(text: str, separators: str) -> list[str]:
    """The members of a typed list without blanks."""
    parts = [part.strip() for part in re.split(separators, text)]
    return [part for part in parts if part]


def read_reps(text: str) -> RepRule:
    """'8', '6-8', '5+' or 'at least 5', 'failure' or 'to failure', '30 s', '20 m' as a rep rule."""
    right = "8, 6-8, 5+, failure, 30 s or 20 m"
    plain_text = short_text("reps", text, 40).strip().lower().replace("\u2013", "-")
    if plain_text in ("failure", "to failure"):
        return RepRule("failure")
    least = re.fullmatch(r"(?:at least (\d{1,4})|(\d{1,4})\s*\+)", plain_text, re.ASCII)
    if least:
        n = int(least[1] or least[2])
        return RepRule("at_least", n, n)
    found = re.fullmatch(r"(\d{1,6})(?:\s*-\s*(\d{1,6}))?\s*(s|m)?", plain_text, re.ASCII)
    if not found or (found[2] and found[3]):
        raise EngineError("reps", text, right)
    low, high = int(found[1]), int(found[2] or found[1])
    if low > high:
        raise EngineError("reps", text, "written with the smaller number first")
    kind = {"s": "seconds", "m": "metres"}.get(found[3] or "", "range" if high > low else "reps")
    return RepRule(kind, low, high)


def read_rest(text: str) -> float:
    """'90', '90 s', '2:00', '2 min' or '1,5 min' in seconds."""
    plain_text = short_text("rest", text, 40).strip().lower()
    clock = re.fullmatch(r"(\d{1,2}):([0-5]\d)", plain_text, re.ASCII)
    if clock:
        return int(clock[1]) * 60 + int(clock[2])
    found = re.fullmatch(r"([\d.,]+)\s*(s|min)?", plain_text)
    if not found:
        raise EngineError("rest", text, "90, 2:00 or 2 min")
    return read_number("rest", found[1], "90, 2:00 or 2 min") * (60 if found[2] == "min" else 1)


def read_fixed(text: str, unit: str) -> LoadRule:
    """'60', '60 kg' or '-20 kg' (assistance) as a fixed load; `unit` where none is typed."""
    word = text.strip()
    minus = word.startswith(("-", "\u2212"))
    stamped = word[-2:].lower()
    load = parse_load(word[1:] if minus else word, stamped if stamped in UNITS else unit)
    return LoadRule("fixed", -load.thousandths if minus else load.thousandths, load.unit)


def read_load(text: str, unit: str) -> LoadRule:
    """One load: '75' or '75 %', '12RM', '60 kg', 'place 3', '-20 %', '1 down', '+10 %', '1 up', 'same'."""
    right = "75 %, 12RM, 60 kg, -20 % or 1 down"
    word = text.strip().lower()
    if word == "same":
        return LoadRule("same")
    if word.endswith(UNITS):
        return read_fixed(word, unit)
    if word.endswith("rm"):
        return LoadRule("rep_max", read_number("load", word[:-2], right))
    if word.startswith(("-", "\u2212")):
        return LoadRule("drop_percent", read_number("load", word[1:].rstrip("% "), right))
    if word.startswith("+"):
        return LoadRule("rise_percent", read_number("load", word[1:].rstrip("% "), right))
    places = re.fullmatch(r"(\d{1,2})\s*(?:places?\s*)?(down|up)", word, re.ASCII)
    if places:
        return LoadRule("drop_places" if places[2] == "down" else "rise_places", int(places[1]))
    place = re.fullmatch(r"place\s*(\d{1,3})", word, re.ASCII)
    if place:
        return LoadRule("place", int(place[1]))
    return LoadRule("percent", read_number("load", word.removesuffix("%"), right))


def read_row(text: str, unit: str, usual: StepRule | None, rir: float | None) -> StepRule:
    """'75 x 10 @ 2': load, reps (those of `usual` when left out), reserve (`rir` when left out, '-' for none)."""
    found = _ITEM.fullmatch(text)
    if not found or (usual is None and not found["reps"]):
        raise EngineError("row", text, _ROW)
    reps = read_reps(found["reps"]) if found["reps"] else usual.reps  # type: ignore[union-attr]
    own = rir
    if found["rir"]:  # '@ -': no reserve is asked for here although the others have one
        own = None if found["rir"] == "-" else read_number("RIR", found["rir"], "a number from 0 to 10")
    return StepRule(read_load(found["load"], unit), reps, None if reps.kind == "failure" else own)


def row_text(row: StepRule, usual_rir: float | None = None) -> str:
    """A row as `read_row` reads it with `usual_rir`."""
    return f"{load_text(row.load)} x {rep_text(row.reps)}{rir_text(row, usual_rir)}"


def rir_text(row: StepRule, usual_rir: float | None) -> str:
    """' @ 2' where the reserve is not the usual one."""
    told = row.reps.kind == "failure" or row.rir == usual_rir
    return "" if told else f" @ {'-' if row.rir is None else plain(row.rir)}"


def rep_text(reps: RepRule) -> str:
    """Reps as `read_reps` reads them."""
    if reps.kind in ("failure", "at_least"):
        return "failure" if reps.kind == "failure" else f"{reps.low}+"
    unit = {"seconds": " s", "metres": " m"}.get(reps.kind, "")
    return (f"{reps.low}-{reps.high}" if reps.kind == "range" else str(reps.low)) + unit


def value_text(load: LoadRule) -> str:
    """The number of a load alone; a fixed one with its unit."""
    if load.kind == "fixed":
        return f"{format_load(int(load.value or 0))} {load.unit}"
    return "" if load.value is None else plain(load.value)


def load_text(load: LoadRule) -> str:
    """A load as `read_load` reads it."""
    wrap = {
        "percent": "{}%", "rep_max": "{}RM", "drop_percent": "-{}%", "drop_places": "{} down",
        "rise_percent": "+{}%", "rise_places": "{} up", "place": "place {}", "same": "same",
    }  # fmt: skip
    return wrap.get(load.kind, "{}").format(value_text(load))
