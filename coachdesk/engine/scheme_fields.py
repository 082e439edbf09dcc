"""Schemes as flat typed fields, the way a form edits them, and back."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from .errors import EngineError, instance, one_of
from .loads import UNITS
from .scheme import HOLDS, LOAD_KINDS, SCHEMES, SIDES, LoadRule, Scheme, StepRule, map_steps
from .scheme_bouts import (
    back_offs_text,
    bouts_text,
    cluster_text,
    drops_text,
    read_back_offs,
    read_bouts,
    read_cluster,
    read_drops,
    read_quota,
    read_waves,
    waves_text,
)
from .scheme_texts import (
    BETWEEN_ROWS,
    read_fixed,
    read_number,
    read_reps,
    read_rest,
    read_row,
    rep_text,
    row_text,
    split,
    value_text,
)
from .scheme_words import plain

__all__ = [
    "FIELDS", "FIELD_KINDS", "FieldErrors", "read_reps", "read_rest", "scheme_from_fields", "scheme_to_fields",
]  # fmt: skip

FIELDS = ("kind", "sets", "load_kind", "load_value", "reps", "rir", "rest", "ladder", "side", "hold")
FIELD_KINDS = tuple(kind for kind in SCHEMES if kind != "series")
_LONGEST = 400
Made = dict[str, Any] | None


class FieldErrors(EngineError):
    """Several fields are wrong: `errors` maps field name to message."""

    def __init__(self, errors: dict[str, str]) -> None:
        self.errors = dict(errors)
        super().__init__("; ".join(f"{name}: {message}" for name, message in errors.items()))


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
        value: float | None = self.read("rir", read_number, "RIR", text, "a number from 0 to 10, or empty")
        if value is not None and value > 10:
            self.errors["rir"] = f"RIR is {text!r}; it should be a number from 0 to 10, or empty."
        return value

    def load(self) -> LoadRule | None:
        kind, text = self.text["load_kind"] or "percent", self.text["load_value"]
        if self.read("load_kind", one_of, "load kind", kind, LOAD_KINDS) is None:
            return None
        if kind == "effort":
            return LoadRule("effort")
        made: LoadRule | None
        if kind == "fixed":
            made = self.read("load_value", read_fixed, text, self.unit)
            return made
        value = self.read("load_value", read_number, "load", text.removesuffix("%"), "a number such as 75")
        made = None if value is None else self.read("load_value", LoadRule, kind, value)
        if made and made.is_relative:
            self.errors["load_kind"] = "A first step cannot be a drop: there is no step before it."
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
        usual = "failure" if self.text["kind"] in ("drop_set", "light_to_heavy", "rest_pause") else ""
        reps = self.read("reps", read_reps, self.text["reps"] or usual)
        load, rir = self.load(), self.rir()
        if reps is None or load is None or self.errors:
            return None
        made: StepRule | None = self.read("rir" if load.kind == "effort" else "reps", StepRule, load, reps, rir)
        return made


def scheme_from_fields(fields: Mapping[str, str], unit: str) -> Scheme:
    """The scheme typed into flat fields; FieldErrors carries every wrong field at once.

    All fields are text. `kind`, `sets`, `load_kind` with `load_value`, `reps` ('8', '6-8', '5+', 'failure',
    '30 s', '20 m'), `rir`, `rest` between sets, `side`, `hold`; and `ladder`, which each kind reads its own way:

    - pyramids: a row a set, '65x15, 75x10, 85x6 @ 2' (load x reps @ RIR); no load and reps fields
    - drop_set: '-20% x 2', '1 down x 2', '80/65/50' (names the first load too) or '/ 60 kg x 8 / 40 kg x failure'
    - light_to_heavy: '+10% x 2', '1 up x 2', '40/50/65/80'
    - rest_pause: '+3 x 20 s' (three more bouts), '+4 +3 +2; 20 s' (of so many reps), 'to 20 reps x 20 s'
    - cluster: '(2+2+1) 15 s', or with sets and reps '4x5 (2+2+1) 15 s'; reps, if typed, are those of the whole set
    - wave: '80x7, 85x5, 90x3 / 82x7, 87x5, 92x3', or '7,5,3 / 7,5,3' where reps and RIR decide the loads
    - top_back_off: '3 x 8 @ -10 %', ';' between groups; sets, load and reps are those of the top set
    - quota: '5000 kg' of load x reps; sets is the most it may take
    - straight, open_last: empty. open_last: reps '5' is the least of the last set, rir where it stops

    A blank or ';' must follow a comma that separates: '65x15, 72,5x10' is two rows. `unit` is that of
    fixed loads and quotas typed without one.
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
    made = _BUILD.get(kind, _build_pyramid)(reader, kind)
    if rest is not None and made is not None and not reader.errors:
        fault = "reps" if kind in ("open_last", "quota") else "ladder" if kind in _LISTED else "rest"
        whole = reader.read(fault, lambda: Scheme(**made))
        scheme: Scheme | None = whole and reader.read("rest", lambda: reader.finish(replace(whole, rest_s=rest)))
        if scheme is not None:
            return scheme
    raise FieldErrors(reader.errors)


def _build_straight(reader: _Reader, kind: str) -> Made:
    step, sets = reader.step(), reader.sets()
    return {"kind": kind, "sets": sets, "step": step} if step else None


def _build_open_last(reader: _Reader, kind: str) -> Made:
    reader.text["reps"] = reader.text["reps"].rstrip("+ ")
    return _build_straight(reader, kind)


def _build_quota(reader: _Reader, kind: str) -> Made:
    made, target = _build_straight(reader, kind), reader.read("ladder", read_quota, reader.text["ladder"], reader.unit)
    return {**made, "target": target[0], "target_unit": target[1]} if made and target else None


def _ladder(kind: str, rows: tuple[StepRule, ...] | None, reader: _Reader, example: str) -> Made:
    if rows is not None and not 1 <= len(rows) <= 20:
        reader.errors["ladder"] = f"Write 1 to 20 rows such as {example}."
    return {"kind": kind, "sets": len(rows), "ladder": rows} if rows and not reader.errors else None


def _build_pyramid(reader: _Reader, kind: str) -> Made:
    rir = reader.rir()
    parts = split(reader.text["ladder"], BETWEEN_ROWS)
    if not parts or len(parts) > 20:
        reader.errors["ladder"] = "Write 1 to 20 rows such as 65x15, 75x10, 85x6."
        return None
    rows = tuple(reader.read("ladder", read_row, part, reader.unit, None, rir) for part in parts)
    if None in rows or reader.errors:
        return None
    if any(row.load.is_relative for row in rows):
        reader.errors["ladder"] = "Each row of a pyramid needs a load of its own, such as 75 x 10."
    return {"kind": kind, "sets": len(rows), "ladder": rows}


def _build_wave(reader: _Reader, kind: str) -> Made:
    rir = reader.rir()
    load = LoadRule("effort") if rir is not None else None
    rows = reader.read("ladder", read_waves, reader.text["ladder"], reader.unit, load, rir)
    return _ladder(kind, rows, reader, "80x7, 85x5, 90x3 / 82x7, 87x5, 92x3")


def _build_top_back_off(reader: _Reader, kind: str) -> Made:
    top, tops = reader.step(), reader.sets()
    if top is None:
        return None
    rows = reader.read("ladder", read_back_offs, reader.text["ladder"], reader.unit, top, tops)
    return _ladder(kind, rows, reader, "3 x 8 @ -10 %")


def _build_rest_pause(reader: _Reader, kind: str) -> Made:
    first, sets = reader.step(), reader.sets()
    read = reader.read("ladder", read_bouts, reader.text["ladder"] or "+2 x 20 s", first) if first else None
    if read is None:
        return None
    (step, *bouts), target = read
    unit = "reps" if target else ""
    return {"kind": kind, "sets": sets, "step": step, "drops": bouts, "target": target, "target_unit": unit}


def _build_cluster(reader: _Reader, kind: str) -> Made:
    load, rir, sets = reader.load(), reader.rir(), reader.sets()
    if load is None or reader.errors:
        return None
    read = reader.read("ladder", read_cluster, reader.text["ladder"], load, rir)
    if read is None:
        return None
    (step, *bouts), written, total = read
    if reader.text["reps"] not in ("", str(total)):
        reader.errors["reps"] = f"The bouts add up to {total} reps; write that or leave it out."
    return {"kind": kind, "sets": written or sets, "step": step, "drops": bouts}


def _build_drop_set(reader: _Reader, kind: str) -> Made:
    text, rises = reader.text["ladder"], kind == "light_to_heavy"
    if not text:
        example = "40/50/65, or +10% x 2, or 1 up x 2" if rises else "80/65/50, or -20% x 2, or 1 down x 2"
        reader.errors["ladder"] = f"Write the {'loads' if rises else 'drops'}: {example}."
        return None
    if not reader.text["load_value"] and reader.text["load_kind"] in ("", "percent"):
        reader.text["load_value"] = "100"  # only until the list names its first load
        unnamed = True
    else:
        unnamed = False
    first = reader.step()
    read = reader.read("ladder", read_drops, text, reader.unit, first) if first else None
    if first is None or read is None:
        return None
    named, drops = read
    if named is None and unnamed:
        reader.errors["load_value"] = f"Write the first load of the {'set' if rises else 'drop set'}."
    if not 1 <= len(drops) <= 11:
        reader.errors["ladder"] = f"The list has {len(drops)} {'rises' if rises else 'drops'}; it should have 1 to 11."
        return None
    return {"kind": kind, "sets": reader.sets(), "step": named or first, "drops": drops}


_BUILD: dict[str, Callable[[_Reader, str], Made]] = {
    "straight": _build_straight,
    "open_last": _build_open_last,
    "quota": _build_quota,
    "wave": _build_wave,
    "top_back_off": _build_top_back_off,
    "drop_set": _build_drop_set,
    "light_to_heavy": _build_drop_set,
    "rest_pause": _build_rest_pause,
    "cluster": _build_cluster,
}
_LISTED = ("drop_set", "light_to_heavy", "rest_pause", "cluster", "wave", "top_back_off")


def scheme_to_fields(scheme: Scheme, unit: str) -> dict[str, str]:
    """Flat fields that read back as the same scheme; EngineError for one without a flat form, such as a series."""
    instance("scheme", scheme, Scheme)
    one_of("unit", unit, UNITS)
    if scheme.kind == "series":
        raise EngineError("scheme kind", "series", "one that fits one line: edit a series part by part")
    rows = scheme.ladder or tuple(s for s in (scheme.step, *scheme.drops) if s)
    paused = scheme.kind in ("rest_pause", "cluster")
    if any(row.rest_s for row in rows if not paused) or len({(row.side, row.hold) for row in rows}) > 1:
        raise EngineError("steps", scheme.kind, "alike in side and hold and without rests inside a set")
    made = dict.fromkeys(FIELDS, "") | {
        "kind": scheme.kind,
        "sets": str(scheme.sets),
        "rest": plain(scheme.rest_s),
        "side": rows[0].side,
        "hold": rows[0].hold,
    }
    made |= _list_fields(scheme)
    if scheme.kind in ("rest_pause", "cluster", "wave", "top_back_off", "light_to_heavy"):
        _check_back(scheme, made, unit)
    return made


def _check_back(scheme: Scheme, made: dict[str, str], unit: str) -> None:
    """The kinds with a notation of their own can hold more than it can say."""
    try:
        same = scheme_from_fields(made, unit) == scheme
    except EngineError:
        same = False
    if not same:
        raise EngineError("steps", scheme.kind, "regular enough for one line")


def _list_fields(scheme: Scheme) -> dict[str, str]:
    kind, step = scheme.kind, scheme.step
    if kind == "wave":
        rir, effort = scheme.ladder[0].rir, LoadRule("effort")
        if all(row.load == effort and row.rir == rir for row in scheme.ladder):
            return {"load_kind": "effort", "rir": plain(rir or 0), "ladder": waves_text(scheme, True)}
        return {"ladder": waves_text(scheme, False)}
    if kind == "top_back_off":
        tops, text = back_offs_text(scheme)
        return _step_fields(scheme.ladder[0]) | {"sets": str(tops), "ladder": text}
    if scheme.ladder:
        return {"ladder": "; ".join(row_text(row) for row in scheme.ladder)}
    assert step is not None
    made = _step_fields(step)
    if kind == "cluster":
        total = sum(row.reps.low for row in (step, *scheme.drops))
        return made | {"reps": str(total), "ladder": cluster_text(scheme)}
    if kind == "quota":
        return made | {"ladder": f"{scheme.target} {scheme.target_unit}"}
    if kind == "rest_pause":
        return made | {"ladder": bouts_text(scheme)}
    return made | {"ladder": drops_text(step, scheme.drops)} if scheme.drops else made


def _step_fields(step: StepRule) -> dict[str, str]:
    made = {"load_kind": step.load.kind, "load_value": value_text(step.load), "reps": rep_text(step.reps)}
    return made | {"rir": "" if step.rir is None else plain(step.rir)}
