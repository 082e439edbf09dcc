"""Reading other weights of the roster's order from an address."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError

from clients.rule_texts import read_rule, rule_spec
from coachdesk.engine.number_words import group_of, rule_names

MOST_SAID = 6


def read_weights(asked: Mapping[str, str]) -> tuple[dict[str, Any], list[str]]:
    """The rules of need that an address names with their values (None: the default), and what could not be read."""
    values: dict[str, Any] = {}
    problems = []
    for name in rule_names():
        if group_of(name) != "need" or name not in asked:
            continue
        try:
            values[name] = read_rule(name, asked[name][:200]) if asked[name].strip() else None
        except ValidationError as wrong:
            problems.append(f"{rule_spec(name).words}: {' '.join(wrong.messages)} It was left out.")
    return values, problems[:MOST_SAID]
