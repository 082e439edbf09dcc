"""What other weights would make of the roster's order: who moves up, who down, and which reasons do it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from clients.mapping import with_rules
from clients.models import Client
from coachdesk.engine.need import Need, Reason
from coachdesk.practice.models import Membership, Practice
from programs.logs.selectors.need_facts import need_by
from programs.logs.selectors.roster import roster_clients
from programs.selectors.rules import changed_rules

# Names in each direction; the rest are counted.
MOST_NAMED = 12


@dataclass(frozen=True)
class Move:
    """One client's place and points as they are, and as they would be; `why`: the reasons whose points change."""

    client: Client
    place: int
    then: int
    points: float
    points_then: float
    why: tuple[str, ...]

    @property
    def places(self) -> int:
        """How far: above nothing is up."""
        return self.place - self.then


@dataclass(frozen=True)
class NewOrder:
    """Those who move, the farthest first and those who only make room last; `clients` in all.

    `unknown` are still being worked out and left out.
    """

    up: tuple[Move, ...]
    down: tuple[Move, ...]
    clients: int
    unknown: int

    @property
    def groups(self) -> list[tuple[str, str, tuple[Move, ...], int]]:
        """(id, words, clients to name, how many more) for each direction."""
        found = (("up", "Would move up", self.up), ("down", "Would move down", self.down))
        return [(key, words, some[:MOST_NAMED], max(0, len(some) - MOST_NAMED)) for key, words, some in found]

    @property
    def sentence(self) -> str:
        """How many of how many move."""
        if not self.clients:
            return "No client's row is worked out yet."
        if not self.up and not self.down:
            return f"The order of the {self.clients} client{'s' * (self.clients != 1)} you see stays as it is."
        stay = self.clients - len(self.up) - len(self.down)
        return f"Of {self.clients} clients {len(self.up)} would move up, {len(self.down)} down, and {stay} stay."


def new_order(desk: Membership, of: Client | Practice, values: Mapping[str, Any], *, today: date) -> NewOrder:
    """The roster under other house rules (`values`, None: the default, set for `of`); two queries for any number.

    Flags stay as they were found: only what they weigh changes.
    """
    clients = list(roster_clients(desk, today=today))
    known = [one for one in clients if _facts(one)]
    with_rules(known)
    needs = {one.pk: _need(one, of, values) for one in known}
    order = sorted(known, key=lambda one: (-round(1000 * needs[one.pk].score), one.folded, one.pk))
    then = {one.pk: place for place, one in enumerate(order, start=1)}
    moves = [
        Move(one, place, then[one.pk], one.need.score / 1000, needs[one.pk].score, _why(one, needs[one.pk]))
        for place, one in enumerate(known, start=1)
        if then[one.pk] != place
    ]
    moves.sort(key=lambda move: (not move.why, -abs(move.places), move.then))
    up, down = (tuple(move for move in moves if (move.places > 0) is upwards) for upwards in (True, False))
    return NewOrder(up, down, len(known), len(clients) - len(known))


def _facts(client: Client) -> Mapping[str, Any]:
    kept = getattr(client, "need", None)
    return kept.value.get("facts", {}) if kept is not None and kept.on is not None else {}


def _need(client: Client, of: Client | Practice, values: Mapping[str, Any]) -> Need:
    touched = of.pk == client.pk if isinstance(of, Client) else True
    return need_by(_facts(client), changed_rules(client, of, values if touched else {}))


def _why(client: Client, then: Need) -> tuple[str, ...]:
    """'Missed 2 of 6 sessions in 14 days: 50 to 10', for each reason that weighs something else."""
    before = {one.rule: one for one in (Reason(*told) for told in client.need.value["reasons"])}
    after = {one.rule: one for one in then.reasons}
    found: Sequence[str] = dict.fromkeys((*before, *after))  # type: ignore[assignment]
    return tuple(
        f"{(after.get(rule) or before[rule]).words}: {_points(before.get(rule))} to {_points(after.get(rule))}"
        for rule in found
        if _points(before.get(rule)) != _points(after.get(rule))
    )


def _points(reason: Reason | None) -> str:
    return f"{reason.points:g}" if reason else "0"
