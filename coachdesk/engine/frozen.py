"""Frozen values that are used as cache keys again and again: hashed once, and one object for equal values."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any, TypeVar

C = TypeVar("C", bound=type)
V = TypeVar("V")


def hash_once(cls: C) -> C:
    """Keep the hash of a frozen dataclass on the instance: nested plans are hashed on every look-up."""
    compute: Callable[[Any], int] = vars(cls)["__hash__"]

    def __hash__(self: Any) -> int:  # noqa: N807
        kept = self.__dict__.get("_hash")
        if kept is None:
            kept = compute(self)
            self.__dict__["_hash"] = kept
        return int(kept)

    def __getstate__(self: Any) -> dict[str, Any]:  # noqa: N807
        # text hashes differ between processes, so the kept one must not travel in a pickle
        return {name: value for name, value in self.__dict__.items() if name != "_hash"}

    setattr(cls, "__hash__", __hash__)  # noqa: B010
    setattr(cls, "__getstate__", __getstate__)  # noqa: B010
    return cls


def same(value: V) -> V:
    """The object that stands for all frozen values equal to this one, so that looking up its plans compares nothing.

    Equal values made anew from rows would be compared field by field in every cache they meet.
    """
    kept: V = _same(value.__class__.__name__, value)
    return kept


@lru_cache(maxsize=32768)
def _same(kind: str, value: Any) -> Any:
    return value
