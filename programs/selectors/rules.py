"""What a change of house rules would flag: the week's flags under the rules as they are and as they would be."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from clients.mapping import rule_rows, rules_with
from clients.models import Client
from coachdesk import engine
from coachdesk.engine.number_words import GROUPS
from coachdesk.practice.models import Practice
from programs.selectors.open_flags import week_flags_for


@dataclass(frozen=True)
class FlagChange:
    """One kind of flag: how many now and after, and the names of the clients where that changes."""

    words: str
    now: int
    after: int
    more: tuple[str, ...]
    fewer: tuple[str, ...]

    @property
    def moves(self) -> bool:
        return bool(self.more or self.fewer)


@dataclass(frozen=True)
class RulePreview:
    """The effect of a change over the clients looked at: `clients` of them, kinds of flags by name."""

    clients: int
    changes: tuple[FlagChange, ...]

    @property
    def moves(self) -> bool:
        return any(change.moves for change in self.changes)

    @property
    def moving(self) -> list[FlagChange]:
        """Kinds of flags that come or go for somebody."""
        return [change for change in self.changes if change.moves]

    @property
    def staying(self) -> list[FlagChange]:
        return [change for change in self.changes if not change.moves]


def changed_rules(client: Client, of: Client | Practice, values: Mapping[str, Any]) -> engine.Rules:
    """The client's rules if `values` (None: the default) were set for `of`: the client, or everyone."""
    rows = rule_rows(client)
    shared = {row.name: row.value for row in rows if row.client_id is None}
    own = {row.name: row.value for row in rows if row.client_id is not None}
    layer = own if isinstance(of, Client) else shared
    for name, value in values.items():
        layer.pop(name, None)
        if value is not None:
            layer[name] = value
    return rules_with([*shared.items(), *own.items()])


def rule_preview(
    clients: Sequence[Client], of: Client | Practice, values: Mapping[str, Any], today: date
) -> RulePreview:
    """This week's open flags of these clients before and after the change; counts of cards, by kind."""
    before = week_flags_for(clients, today)
    after = week_flags_for(clients, today, lambda client: changed_rules(client, of, values))
    names = {client.pk: client.name for client in clients}
    codes = sorted({flag.code for found in (before, after) for flags in found.values() for flag in flags})
    return RulePreview(len(before), tuple(_change(code, before, after, names) for code in codes))


def _change(
    code: str, before: Mapping[int, Iterable[engine.Flag]], after: Mapping[int, Iterable[engine.Flag]],
    names: Mapping[int, str],
) -> FlagChange:  # fmt: skip
    now = {pk: sum(f.code == code for f in before.get(pk, ())) for pk in names}
    then = {pk: sum(f.code == code for f in after.get(pk, ())) for pk in names}
    return FlagChange(
        code.replace("_", " ").capitalize().replace("Rir ", "RIR "), sum(now.values()), sum(then.values()),
        tuple(names[pk] for pk in names if then[pk] > now[pk]), tuple(names[pk] for pk in names if then[pk] < now[pk]),
    )  # fmt: skip


def rule_groups(rows: Sequence[Any]) -> list[tuple[str, list[Any]]]:
    """The rows of the rules' page under their headings, headings without rows left out."""
    found = [(heading, [row for row in rows if row.spec.group == key]) for key, heading in GROUPS]
    return [(heading, some) for heading, some in found if some]
