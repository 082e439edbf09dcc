"""The facts behind a roster's row as it keeps them: what other weights would make of them needs no new look."""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any

from coachdesk.engine import Rules
from coachdesk.engine.need import Need, NeedFacts, Trend, facts_of_trends, need_of

# What follows from trends by rules of need is read anew under other rules.
FROM_TRENDS = ("falling", "stalled")


def facts_kept(facts: NeedFacts, trends: Sequence[Trend]) -> dict[str, Any]:
    """JSON: the fields that say anything, and each exercise's trend as [name, chance, seen]."""
    said = {one.name: getattr(facts, one.name) for one in fields(facts) if getattr(facts, one.name) != one.default}
    kept = {name: list(value) if isinstance(value, tuple) else value for name, value in said.items()}
    return {**{name: kept[name] for name in kept if name not in FROM_TRENDS}, "trends": [list(one) for one in trends]}


def need_by(kept: Mapping[str, Any], rules: Rules) -> Need:
    """The need that these facts make under these rules."""
    known = {one.name for one in fields(NeedFacts)} - set(FROM_TRENDS)
    said: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value for name, value in kept.items() if name in known
    }
    said |= facts_of_trends([Trend(*one) for one in kept.get("trends", [])], rules)
    return need_of(NeedFacts(**said), rules)
