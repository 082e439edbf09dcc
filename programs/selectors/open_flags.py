"""Open flags of many clients at once: those of this week, and the stops that wait in the next."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from clients.mapping import house_rules
from clients.models import Client
from coachdesk import engine
from programs.mapping import Kits, Known
from programs.selectors.context import context_for, traits_of
from programs.selectors.pain import logged_flags
from programs.selectors.prescription import in_week, session_plans
from programs.selectors.week_rows import WeekRows, week_rows

RulesOf = Callable[[Client], engine.Rules]


@dataclass(frozen=True)
class OpenFlags:
    """A client's open flags of this week of the programme, and stops of next week alone.

    Week 0: it begins next week, and only what was logged before can be open.
    """

    week_no: int = 0
    now: tuple[engine.Flag, ...] = ()
    coming: tuple[engine.Flag, ...] = ()


def open_flags_for(clients: Sequence[Client], today: date, rules_of: RulesOf = house_rules) -> dict[int, OpenFlags]:
    """Open flags by client id, for clients whose programme has begun or begins next week; five queries for any number.

    Last week is prescribed too, so that two hard sessions across the border are seen.
    `rules_of`: other house rules than those in force, to see what they would flag.
    """
    got, kits = week_rows(clients, today), Kits()
    traits: dict[int, engine.ExerciseTraits] = {}
    return {client.pk: _of_client(client, got, kits, traits, today, rules_of(client)) for client in got.clients}


def _of_client(
    client: Client, got: WeekRows, kits: Kits, traits: dict[int, engine.ExerciseTraits], today: date,
    rules: engine.Rules,
) -> OpenFlags:  # fmt: skip
    pk, week = client.pk, got.weeks[client.pk]
    planned, known, program = got.sessions[pk], got.estimates.get(pk, []), got.programs[pk]
    plans = session_plans(planned, client, Known(known, got.bests.get(pk, ()), got.facts.get(pk, {})), kits, traits)
    context = context_for(
        client, start_on=program.start_on, today=today, facts=got.facts.get(pk, {}), sessions=planned,
        estimates=known,
    )  # fmt: skip
    flags = engine.find_flags(plans, traits_of(client, today, got.facts.get(pk, {})), rules, context)
    logged = logged_flags(planned, week, reports=got.pains.get(pk, ()), estimates=known, today=today, rules=rules)
    still = [f for f in (*flags, *logged) if (program.pk, f.id) not in got.decided]
    # what was logged already does not wait for the programme to begin
    now = tuple(f for f in still if (in_week(f, week) if week >= 1 else f in logged))
    coming = tuple(f for f in still if f.severity == "stop" and in_week(f, week + 1) and f not in now)
    return OpenFlags(week, now, coming)


def week_flags_for(
    clients: Sequence[Client], today: date, rules_of: RulesOf = house_rules
) -> dict[int, tuple[engine.Flag, ...]]:
    """Open flags of this week alone, by id of the clients whose programme has begun."""
    return {pk: found.now for pk, found in open_flags_for(clients, today, rules_of).items() if found.week_no >= 1}
