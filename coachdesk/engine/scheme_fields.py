"""Schemes as flat typed fields, the way a form edits them, and back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

from .errors import EngineError, instance, one_of
from .errors import text as short_text
from .loads import UNITS, decimal_text, format_load, parse_load
from .scheme import HOLDS, LOAD_KINDS, SCHEMES, SIDES, LoadRule, RepRule, Scheme, StepRule, map_steps
from .scheme_words import plain

FIELDS = ("kind", "sets", "load_kind", "load_value", "reps", "rir", "rest", "ladder", "side", "hold")
FIELD_KINDS = tuple(kind for kind in SCHEMES if kind != "series")
_LONGEST = 400
_ITEM = re.compile(
    r"(?P<load>[^x@]+?)(?:\s*x\s*(?P<reps>[^@]+?))?(?:\s*@\s*(?:rir\s*)?(?P<rir>[\d.,]+|-))?\s*", re.IGNORECASE
)
_SHORT = re.compile(r"(?P<load>-\s*[\d.,]+\s*%|[\d]+\s*(?:places?\s*)?down)\s*x\s*(?P<count>\d{1,2})", re.IGNORECASE)
# reps are whole, so a comma right after them separates rows; one inside a load is a decimal comma
_BETWEEN_ROWS = r";|,\s+|(?<=x\d),|(?<=x\d\d),|(?<=x \d),|(?<=x \d\d),"
_ROW = "a load, x and reps, such as 75 x 10"


class FieldErrors(EngineError):
    """Several fields are wrong: `errors` maps field name to message."""

    def __init__(self, errors: dict[str, str]) -> None:
        self.errors = dict(errors)
        super().__init__("; ".join(f"{name}: {message}" for name, message in errors.items()))


def _number(name: str, text: str, right: str) -> float:
    value: Fraction = decimal_text(name, text, right)
    return int(value) if value.denominator == 1 else float(value)


def read_reps(text: str) -> RepRule:
    """'8', '6-8', 'failure' or 'to failure', '30 s', '20 m' as a rep rule."""
    right = "8, 6-8, failure, 30 s or 20 m"
    plain_text = short_text("reps", text, 40).strip().lower().replace("\u2013", "-")
    if plain_text in ("failure", "to failure"):
        return RepRule("failure")
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
    return _number("rest", found[1], "90, 2:00 or 2 min") * (60 if found[2] == "min" else 1)


def read_load(text: str, unit: str) -> LoadRule:
    """One load of a ladder: '75' or '75 %', '12RM', '60 kg', '-20 %', '1 down'."""
    right = "75 %, 12RM, 60 kg, -20 % or 1 down"
    word = text.strip().lower()
    if word.endswith(UNITS):
        load = parse_load(word[:-2], word[-2:])
        return LoadRule("fixed", load.thousandths, load.unit)
    if word.endswith("rm"):
        return LoadRule("rep_max", _number("load", word[:-2], right))
    if word.startswith(("-", "\u2212")):
        return LoadRule("drop_percent", _number("load", word[1:].rstrip("% "), right))
    down = re.fullmatch(r"(\d{1,2})\s*(?:places?\s*)?down", word, re.ASCII)
    if down:
        return LoadRule("drop_places", int(down[1]))
    return LoadRule("percent", _number("load", word.removesuffix("%"), right))


def _items(text: str, separators: str) -> list[str]:
    """The members of a typed list without blanks."""
    parts = [part.strip() for part in re.split(separators, text)]
    return [part for part in parts if part]


def _row(text: str, unit: str, usual: StepRule | None, rir: float | None) -> StepRule:
    found = _ITEM.fullmatch(text)
    if not found or (usual is None and not found["reps"]):
        raise EngineError("row", text, _ROW)
    reps = read_reps(found["reps"]) if found["reps"] else usual.reps  # type: ignore[union-attr]
    own = rir
    if found["rir"]:  # '@ -': no reserve is asked for here although the others have one
        own = None if found["rir"] == "-" else _number("RIR", found["rir"], "a number from 0 to 10")
    return StepRule(read_load(found["load"], unit), reps, None if reps.kind == "failure" else own)


def _drops(text: str, unit: str, first: StepRule) -> tuple[StepRule | None, tuple[StepRule, ...]]:
    """(first step when the list names it, drops); a list that starts with '/' does not name it."""
    short = _SHORT.fullmatch(text.strip())
    if short:
        load = read_load(short["load"], unit)
        return (None, (StepRule(load, first.reps, first.rir),) * int(short["count"]))
    rows = tuple(_row(part, unit, first, first.rir) for part in _items(text, r"[/;]"))
    if not rows or rows[0].load.is_drop or text.strip().startswith("/"):
        return (None, rows)
    return (rows[0], rows[1:])


class _Reader:
    """Reads the fields one by one and collects what is wrong with each."""

    def __init__(self, fields: Mapping[str, str], unit: str) -> None:
        self.unit, self.errors = unit, dict[str, str]()
        self.text: dict[str, str] = {}
        for name in FIELDS:
            typed = fields.get(name, "")
            if not isinstance(typed, str) or len(typed) > _LONGEST:
                self.errors[name] = f"This is not text of at most {_LONGEST} characters."
                typed = ""
            self.text[name] = typed.strip()

    def read(self, name: str, reader: Any, *args: Any) -> Any:
        """What `reader` makes of its arguments, or None with the message kept under `name`."""
        try:
            return reader(*args)
        except EngineError as wrong:
            self.errors.setdefault(name, str(wrong))
            return None

    def sets(self) -> int:
        text = self.text["sets"] or "1"
        if not re.fullmatch(r"\d{1,4}", text, re.ASCII) or not 1 <= int(text) <= 20:
            self.errors.setdefault("sets", f"sets is {text!r}; it should be a whole number from 1 to 20.")
            return 1
        return int(text)

    def rir(self) -> float | None:
        text = self.text["rir"]
        if not text:
            return None
        value: float | None = self.read("rir", _number, "RIR", text, "a number from 0 to 10, or empty")
        if value is not None and value > 10:
            self.errors["rir"] = f"RIR is {text!r}; it should be a number from 0 to 10, or empty."
        return value

    def load(self) -> LoadRule | None:
        kind, text = self.text["load_kind"] or "percent", self.text["load_value"]
        if self.read("load_kind", one_of, "load kind", kind, LOAD_KINDS) is None:
            return None
        if kind == "effort":
            return LoadRule("effort")
        if kind == "fixed":
            stamped = text[-2:].lower()
            load = self.read("load_value", parse_load, text, stamped if stamped in UNITS else self.unit)
            return LoadRule("fixed", load.thousandths, load.unit) if load else None
        value = self.read("load_value", _number, "load", text.removesuffix("%"), "a number such as 75")
        made: LoadRule | None = None if value is None else self.read("load_value", LoadRule, kind, value)
        return made

    def finish(self, scheme: Scheme) -> Scheme:
        """The scheme with side and hold on every step."""
        side, hold = self.text["side"] or "b", self.text["hold"] or "load"
        if (
            self.read("side", one_of, "side", side, SIDES) is None
            or self.read("hold", one_of, "hold", hold, HOLDS) is None
        ):
            raise EngineError("side or hold", (side, hold), "known")
        return map_steps(scheme, lambda step: replace(step, side=side, hold=hold))

    def step(self) -> StepRule | None:
        usual = "failure" if self.text["kind"] == "drop_set" else ""
        reps = self.read("reps", read_reps, self.text["reps"] or usual)
        load, rir = self.load(), self.rir()
        if reps is None or load is None or self.errors:
            return None
        made: StepRule | None = self.read("rir" if load.kind == "effort" else "reps", StepRule, load, reps, rir)
        return made


def scheme_from_fields(fields: Mapping[str, str], unit: str) -> Scheme:
    """The scheme typed into flat fields (see FIELDS); FieldErrors carries every wrong field at once.

    A blank or ';' must follow a comma that separates: '65x15, 72,5x10' is two rows.
    """
    if not isinstance(fields, Mapping):
        raise EngineError("fields", fields, "a mapping of field names to text")
    one_of("unit", unit, UNITS)
    reader = _Reader(fields, unit)
    kind = reader.text["kind"] or "straight"
    if reader.read("kind", one_of, "scheme kind", kind, FIELD_KINDS) is None:
        raise FieldErrors(reader.errors)
    reader.text["kind"] = kind
    rest = reader.read("rest", read_rest, reader.text["rest"]) if reader.text["rest"] else 120
    build = {"straight": _build_straight, "drop_set": _build_drop_set}.get(kind, _build_pyramid)
    made = build(reader, kind)
    if rest is not None and made is not None and not reader.errors:
        scheme: Scheme | None = reader.read("rest", lambda: reader.finish(Scheme(**made, rest_s=rest)))
        if scheme is not None:
            return scheme
    raise FieldErrors(reader.errors)


def _build_straight(reader: _Reader, kind: str) -> dict[str, Any] | None:
    step, sets = reader.step(), reader.sets()
    if step is not None and step.load.is_drop:
        reader.errors["load_kind"] = "A first step cannot be a drop: there is no step before it."
    return {"kind": kind, "sets": sets, "step": step} if step else None


def _build_pyramid(reader: _Reader, kind: str) -> dict[str, Any] | None:
    rir = reader.rir()
    parts = _items(reader.text["ladder"], _BETWEEN_ROWS)
    if not parts or len(parts) > 20:
        reader.errors["ladder"] = "Write 1 to 20 rows such as 65x15, 75x10, 85x6."
        return None
    rows = tuple(reader.read("ladder", _row, part, reader.unit, None, rir) for part in parts)
    if None in rows or reader.errors:
        return None
    if any(row.load.is_drop for row in rows):
        reader.errors["ladder"] = "Each row of a pyramid needs a load of its own, such as 75 x 10."
    return {"kind": kind, "sets": len(rows), "ladder": rows}


def _build_drop_set(reader: _Reader, kind: str) -> dict[str, Any] | None:
    text = reader.text["ladder"]
    if not text:
        reader.errors["ladder"] = "Write the drops: 80/65/50, or -20% x 2, or 1 down x 2."
        return None
    if not reader.text["load_value"] and reader.text["load_kind"] in ("", "percent"):
        reader.text["load_value"] = "100"  # only until the list names its first load
        unnamed = True
    else:
        unnamed = False
    first = reader.step()
    if first is None:
        return None
    read = reader.read("ladder", _drops, text, reader.unit, first)
    if read is None:
        return None
    named, drops = read
    if named is None and unnamed:
        reader.errors["load_value"] = "Write the first load of the drop set."
    if not 1 <= len(drops) <= 11:
        reader.errors["ladder"] = f"The list has {len(drops)} drops; it should have 1 to 11."
        return None
    return {"kind": kind, "sets": reader.sets(), "step": named or first, "drops": drops}


def scheme_to_fields(scheme: Scheme, unit: str) -> dict[str, str]:
    """Flat fields that read back as the same scheme; EngineError for a series, which has no flat form."""
    instance("scheme", scheme, Scheme)
    one_of("unit", unit, UNITS)
    if scheme.kind == "series":
        raise EngineError("scheme kind", "series", "one that fits one line: edit a series part by part")
    rows = scheme.ladder or tuple(s for s in (scheme.step, *scheme.drops) if s)
    if any(row.rest_s for row in rows) or len({(row.side, row.hold) for row in rows}) > 1:
        raise EngineError("steps", scheme.kind, "alike in side and hold and without rests inside a set")
    made = dict.fromkeys(FIELDS, "") | {
        "kind": scheme.kind,
        "sets": str(scheme.sets),
        "rest": plain(scheme.rest_s),
    }
    made |= {"side": rows[0].side, "hold": rows[0].hold}
    if scheme.ladder:
        return made | {"ladder": "; ".join(_row_text(row) for row in scheme.ladder)}
    step = scheme.step
    assert step is not None
    made |= {"load_kind": step.load.kind, "load_value": _value_text(step.load), "reps": _rep_text(step.reps)}
    made["rir"] = "" if step.rir is None else plain(step.rir)
    return made | {"ladder": _drop_text(step, scheme.drops)}


def _drop_text(first: StepRule, drops: tuple[StepRule, ...]) -> str:
    alike = all((drop.reps, drop.rir) == (first.reps, first.rir) for drop in drops)
    if not drops:
        return ""
    if alike and drops[0].load.is_drop and len({drop.load for drop in drops}) == 1:
        return f"{_load_text(drops[0].load)} x {len(drops)}"
    named = not drops[0].load.is_drop and first.load.kind != "effort"
    text = " / ".join(
        _load_text(r.load) if alike else _row_text(r, first.rir) for r in ((first, *drops) if named else drops)
    )
    return text if named or drops[0].load.is_drop else f"/ {text}"


def _row_text(row: StepRule, usual_rir: float | None = None) -> str:
    told = row.reps.kind == "failure" or row.rir == usual_rir
    rir = "" if told else f" @ {'-' if row.rir is None else plain(row.rir)}"
    return f"{_load_text(row.load)} x {_rep_text(row.reps)}{rir}"


def _rep_text(reps: RepRule) -> str:
    if reps.kind == "failure":
        return "failure"
    unit = {"seconds": " s", "metres": " m"}.get(reps.kind, "")
    return (f"{reps.low}-{reps.high}" if reps.kind == "range" else str(reps.low)) + unit


def _value_text(load: LoadRule) -> str:
    if load.kind == "fixed":
        return f"{format_load(int(load.value or 0))} {load.unit}"
    return "" if load.value is None else plain(load.value)


def _load_text(load: LoadRule) -> str:
    text = _value_text(load)
    wrap = {"percent": "{}%", "rep_max": "{}RM", "drop_percent": "-{}%", "drop_places": "{} down"}
    return wrap.get(load.kind, "{}").format(text)
