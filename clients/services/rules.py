"""Setting house rules, for everyone or for one client, and going back to the defaults."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from clients.mapping import checked_rule, forget_rules
from clients.models import Client, HouseRule
from clients.rule_texts import rule_text
from clients.services.stale import merged_values
from coachdesk.engine import EngineError
from coachdesk.engine.number_words import group_of, words_for
from coachdesk.practice.models import Membership, Practice, Values
from coachdesk.practice.tape import derived, write

# What follows from a group of rules, told by the apps that keep it: called with the clients concerned.
_followers: list[tuple[str, Callable[[Sequence[int]], None]]] = []


def follow_rules(group: str, refresh: Callable[[Sequence[int]], None]) -> None:
    """Register `refresh(client ids)` to run inside the act when a rule of this group changes for these clients."""
    _followers.append((group, refresh))


def subject_of(of: Client | Practice) -> str:
    """The name of the undo stack of a client's rules, or of those for everyone."""
    return f"rules:{of.pk}" if isinstance(of, Client) else "rules"


def set_rules(
    *, by: Membership, of: Client | Practice, values: Mapping[str, Any], now: datetime,
    base: Mapping[str, Any] | None = None,
) -> None:  # fmt: skip
    """Set rules to these JSON values in one act; None goes back to the default. Rules left out stay as they are.

    `base` is what was shown of each rule (None: the default); raises StaleForm when somebody else changed the same
    rule since, and ValidationError for a value the engine does not take.
    """
    _check(values)
    client = of if isinstance(of, Client) else None
    who = f"for {client.name}" if client else "for everyone"
    label = f"Change {len(values)} house rules {who}" if len(values) != 1 else f"{words_for(next(iter(values)))} {who}"
    with write(label, by=by, subject=subject_of(of), at=now) as tape:
        # The owner's row is the lock of the whole set of its rules.
        locked = tape.lock(of)
        found = HouseRule.objects.filter(practice_id=by.practice_id, client=client)
        rows = {row.name: row for row in found}
        theirs: Values = {name: rows[name].value if name in rows else None for name in values}
        shown: Values = {name: (base or theirs).get(name) for name in values}
        merged = merged_values(locked, base=shown, theirs=theirs, mine=dict(values))
        changed = set()
        for name in values:
            value, row = merged[name], rows.get(name)
            if value == theirs[name]:
                continue
            changed.add(name)
            if row is None:
                tape.create(HouseRule(practice_id=by.practice_id, client=client, name=name, value=value))
            elif value is None:
                tape.delete(row)
            else:
                fresh = tape.lock(row)
                fresh.value = value
                tape.save(fresh)
        if client:
            forget_rules(client)
        _follow(by.practice_id, client.pk if client else None, changed)


def _check(values: Mapping[str, Any]) -> None:
    errors = {}
    for name, value in values.items():
        try:
            if value is not None:
                checked_rule(name, value)
        except EngineError as wrong:
            errors[name] = f"{rule_text(name, value)} cannot be used; it should be {wrong.right}."
    if errors:
        raise ValidationError(errors)


def _follow(practice_id: int, client_id: int | None, names: set[str]) -> None:
    groups = {group_of(name) for name in names}
    concerned = [refresh for group, refresh in _followers if group in groups]
    if not concerned:
        return
    clients = Client.objects.filter(practice_id=practice_id)
    if client_id is not None:
        clients = clients.filter(pk=client_id)
    # Locked, and in order of id: two acts must not derive from half of each other, nor wait in a ring.
    ids = list(clients.select_for_update().order_by("pk").values_list("pk", flat=True))
    for refresh in concerned:
        refresh(ids)


def _after_undo(touched: list[Values]) -> None:
    for practice_id, client_id in sorted({(v["practice_id"], v["client_id"]) for v in touched}, key=repr):
        _follow(practice_id, client_id, {v["name"] for v in touched})


derived("clients.houserule", _after_undo)
