"""Advanced techniques in a scheme: which of its sets use one, and schemes with fewer of them."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from .errors import instance, whole
from .scheme import MOST_SETS, SCHEMES, Scheme, expand


@lru_cache(maxsize=4096)
def advanced_sets(scheme: Scheme) -> tuple[bool, ...]:
    """For each set, in order, whether it uses an advanced technique (see SCHEMES)."""
    instance("scheme", scheme, Scheme)
    if scheme.parts:
        return tuple(one for part in scheme.parts for one in advanced_sets(part))
    return (SCHEMES[scheme.kind].technique == "advanced",) * len(expand(scheme))


def with_straight_sets(scheme: Scheme) -> Scheme:
    """Every set with an advanced technique as a plain set of its first bout."""
    return with_techniques(scheme, 0)


def with_techniques(scheme: Scheme, most: int) -> Scheme:
    """At most `most` sets with an advanced technique, the last ones; those before become their first bout."""
    instance("scheme", scheme, Scheme)
    whole("sets with a technique", most, 0, MOST_SETS)
    if scheme.parts:
        return _series(scheme, most)
    count = sum(advanced_sets(scheme))
    if count <= most:
        return scheme
    plain = replace(scheme, kind="straight", drops=(), target=0, target_unit="")
    if most == 0:
        return plain
    first = replace(plain, sets=scheme.sets - most)
    return Scheme("series", parts=(first, replace(scheme, sets=most)), rest_s=scheme.rest_s)


def _series(scheme: Scheme, most: int) -> Scheme:
    parts: list[Scheme] = []
    for part in reversed(scheme.parts):
        parts.insert(0, with_techniques(part, most))
        most -= sum(advanced_sets(parts[0]))
    return replace(scheme, parts=tuple(_flat(parts, scheme.rest_s)))


def _flat(parts: list[Scheme], rest_s: float) -> list[Scheme]:
    """Series inside a series opened up where the rests agree, so that nesting stays shallow."""
    made: list[Scheme] = []
    for part in parts:
        made += part.parts if part.parts and part.rest_s == rest_s else (part,)
    return made
