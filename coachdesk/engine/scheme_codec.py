"""Schemes as versioned JSON values and back, strictly."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from .errors import EngineError, instance, items
from .scheme import LoadRule, RepRule, Scheme, StepRule

_DEEPEST = 6


def scheme_to_json(scheme: Scheme) -> dict[str, Any]:
    """Plain JSON values with "v": 1 at the top; read back by `scheme_from_json` without loss."""
    return {"v": 1, **_scheme(instance("scheme", scheme, Scheme))}


def _scheme(scheme: Scheme) -> dict[str, Any]:
    made: dict[str, Any] = {"kind": scheme.kind, "sets": scheme.sets, "rest_s": scheme.rest_s}
    if scheme.step:
        made["step"] = _step(scheme.step)
    for name in ("ladder", "drops"):
        if getattr(scheme, name):
            made[name] = [_step(step) for step in getattr(scheme, name)]
    if scheme.parts:
        made["parts"] = [_scheme(part) for part in scheme.parts]
    if scheme.target:
        made |= {"target": scheme.target, "target_unit": scheme.target_unit}
    return made


def _step(step: StepRule) -> dict[str, Any]:
    load = {"kind": step.load.kind, "value": step.load.value, "unit": step.load.unit}
    reps = {"kind": step.reps.kind, "low": step.reps.low, "high": step.reps.high}
    return {
        "load": load,
        "reps": reps,
        "rir": step.rir,
        "rest_s": step.rest_s,
        "side": step.side,
        "hold": step.hold,
    }


def scheme_from_json(data: Mapping[str, Any]) -> Scheme:
    """The scheme of a dict made by `scheme_to_json`; EngineError names the field that is wrong."""
    if not isinstance(data, Mapping):
        raise EngineError("scheme", data, "an object with v, kind, sets and steps")
    if data.get("v") != 1 or isinstance(data.get("v"), bool):
        raise EngineError("scheme version (v)", data.get("v"), "1")
    try:
        text = json.dumps(data)
    except (TypeError, ValueError, RecursionError):
        return _read({**data})  # no plain JSON: reading it says what is wrong
    return _kept(text)


@lru_cache(maxsize=4096)
def _kept(text: str) -> Scheme:
    """Reading costs ten times as much as looking up; a page asks for the same few schemes again and again."""
    return _read(json.loads(text))


def _read(data: dict[str, Any]) -> Scheme:
    return _read_scheme({name: data[name] for name in data if name != "v"}, 1)


def _fields(name: str, data: Any, known: tuple[str, ...], needed: tuple[str, ...]) -> Mapping[str, Any]:
    if not isinstance(data, Mapping):
        raise EngineError(name, data, "an object")
    for field in data:
        if field not in known:
            raise EngineError(f"field of {name}", field, "one of " + ", ".join(known))
    for field in needed:
        if field not in data:
            raise EngineError(f"{name}.{field}", None, "given")
    return data


def _read_scheme(data: Any, depth: int) -> Scheme:
    if depth > _DEEPEST:
        raise EngineError("depth of the series", depth, f"at most {_DEEPEST}")
    known = ("kind", "sets", "rest_s", "step", "ladder", "drops", "parts", "target", "target_unit")
    made = dict(_fields("scheme", data, known, ("kind", "sets")))
    if "step" in made:
        made["step"] = _read_step("step", made["step"])
    for name in ("ladder", "drops"):
        if name in made:
            rows = items(name, made[name], empty=False, most=20)
            made[name] = tuple(_read_step(f"{name}[{i}]", row) for i, row in enumerate(rows))
    if "parts" in made:
        parts = items("parts", made["parts"], empty=False, most=20)
        made["parts"] = tuple(_read_scheme(part, depth + 1) for part in parts)
    return Scheme(**made)


def _read_step(name: str, data: Any) -> StepRule:
    row = dict(_fields(name, data, ("load", "reps", "rir", "rest_s", "side", "hold"), ("load", "reps")))
    row["load"] = LoadRule(**_fields(f"{name}.load", row["load"], ("kind", "value", "unit"), ("kind",)))
    row["reps"] = RepRule(**_fields(f"{name}.reps", row["reps"], ("kind", "low", "high"), ("kind",)))
    return StepRule(**row)
