"""Equipment as versioned JSON values and back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .equipment import KINDS, Equipment, checked_equipment
from .errors import EngineError, one_of

_FIELDS = {
    "barbell": ("name", "unit", "bar", "plates", "collars"),
    "dumbbell": ("name", "unit", "loads"),
    "stack": ("name", "unit", "pins", "add_ons"),
    "fixed_bar": ("name", "unit", "loads"),
    "bodyweight": ("name", "unit", "added", "assistance"),
    "band": ("name", "steps"),
}
_CLASSES: dict[str, Any] = {cls.kind: cls for cls in KINDS}  # type: ignore[attr-defined]
_OPTIONAL = {"collars", "add_ons", "added", "plates", "assistance"}


def _plain(value: Any) -> Any:
    return [_plain(member) for member in value] if isinstance(value, tuple) else value


def _frozen(value: Any) -> Any:
    return tuple(_frozen(member) for member in value) if isinstance(value, list) else value


def equipment_to_json(eq: Equipment) -> dict[str, Any]:
    """A dict of plain JSON values with "v": 1 and "kind"; loads in whole thousandths."""
    kind = checked_equipment(eq).kind
    made = {"v": 1, "kind": kind, **{name: _plain(getattr(eq, name)) for name in _FIELDS[kind]}}
    if not made.get("assistance", True):  # few have it, and what is stored need not change for them
        del made["assistance"]
    return made


def equipment_from_json(data: Mapping[str, Any]) -> Equipment:
    """The equipment of a dict made by `equipment_to_json`; EngineError names the field that is wrong."""
    if not isinstance(data, Mapping):
        raise EngineError("equipment", data, "an object with v, kind and its fields")
    if data.get("v") != 1 or isinstance(data.get("v"), bool):
        raise EngineError("equipment version (v)", data.get("v"), "1")
    kind = one_of("equipment kind", data.get("kind"), tuple(_FIELDS))
    extra = [str(name) for name in data if name not in (*_FIELDS[kind], "v", "kind")]
    if extra:
        raise EngineError("equipment field", extra[0], "one of " + ", ".join(_FIELDS[kind]))
    missing = [name for name in _FIELDS[kind] if name not in data and name not in _OPTIONAL]
    if missing:
        raise EngineError(f"equipment field {missing[0]}", None, "given")
    made: Equipment = _CLASSES[kind](**{name: _frozen(data[name]) for name in _FIELDS[kind] if name in data})
    return made
