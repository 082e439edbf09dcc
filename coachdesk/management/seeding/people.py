"""Seeds clients one after the other: each one act, all or nothing, which records the roots alone."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID, uuid5

from clients.models import Client
from clients.selectors import today_for, visible_clients
from coachdesk.demo import practice as demo
from coachdesk.demo.people import demo_clients, drawn_clients
from coachdesk.demo.shapes import DemoClient
from coachdesk.management.seeding.history import Replay
from coachdesk.management.seeding.house import House, open_house
from coachdesk.management.seeding.plans import seed_program, seed_template
from coachdesk.management.seeding.standing import seed_client
from coachdesk.practice.tape import write
from programs.groups.services import create_group
from programs.logs.models import SessionLog
from programs.logs.services import refresh_needs

# Makes every uid of a seeded row follow from the seed and the client, so that two runs give the same rows.
SPACE = UUID("3b0a1f4e-6f5d-4f0c-9d52-6a1f0c7e8d21")
DRAWN_WEEKS = 10
# Of more weeks than this only so many are replayed; they are carried back for the others.
MOST_REPLAYED = 40
REPLAYED_OF_YEARS = 6
# So many rows of the roster are worked out together, as the roster itself does it.
ROWS_AT_ONCE = 25
SEED = 7


@dataclass(frozen=True)
class Seeded:
    """What one client was given."""

    client: Client
    sessions: int
    sets: int

    def __str__(self) -> str:
        return f"{self.client.name}: {self.sessions:,} sessions, {self.sets:,} sets"


def roster_of(today: date, *, clients: int | None, weeks: int | None, seed: int) -> list[DemoClient]:
    """The demo clients, then more drawn from their archetypes up to `clients` in all."""
    told = demo_clients(today, weeks)
    more = max(0, (clients or 0) - len(told))
    return told + drawn_clients(more, seed, today, weeks or DRAWN_WEEKS)


def seed_practice(
    *, now: datetime, clients: int | None = None, weeks: int | None = None, seed: int = SEED
) -> Iterator[Seeded]:
    """The whole practice into an empty database, giving each client once it is in.

    `clients` in all (None: the demo clients alone); `weeks` of logs for each (None: as the stories say). Of more than
    40 weeks the last 6 are replayed, and carried back for the others. From 150 clients on there is a coach for each 50.
    """
    house = open_house(now, clients or 0)
    today = today_for(house.owner.practice, now)
    replayed = weeks if weeks is None or weeks <= MOST_REPLAYED else REPLAYED_OF_YEARS
    earlier = (weeks or 0) - (replayed or 0)
    fresh: list[int] = []
    for person in roster_of(today, clients=clients, weeks=replayed, seed=seed):
        seeded = _seed_person(house, person, seed=seed, today=today, now=now, earlier=earlier)
        fresh += [seeded.client.pk] if seeded.client.archived_on is None else []
        if len(fresh) == ROWS_AT_ONCE:
            refresh_needs(house.owner.practice, fresh, today)
            fresh.clear()
        yield seeded
    refresh_needs(house.owner.practice, fresh, today)
    _seed_group(house)


def _seed_group(house: House) -> None:
    """The demo practice's group, when everybody in it is there."""
    name, wanted = demo.GROUP
    rows = {client.name: client for client in visible_clients(house.owner).filter(name__in=wanted)}
    members = [rows[one] for one in wanted if one in rows]
    if len(members) == len(wanted):
        create_group(by=house.owner, name=name, place=members[0].place, members=members)


def _seed_person(house: House, person: DemoClient, *, seed: int, today: date, now: datetime, earlier: int) -> Seeded:
    """One client with programme, past sheets and logs; before the first copy of a template the template itself."""
    seed_template(house, person, uuid5(SPACE, f"{seed}:template of {person.key}"), now)
    space = uuid5(SPACE, f"{seed}:{person.key}")
    with write(f"Add client {person.name} with programme and logs", by=house.owner, source="seed", at=now) as tape:
        client = seed_client(house, person, now)
        planned = seed_program(tape, house, person, client, space)
        past = Replay(house, person, client, seed=seed, space=space, earlier=earlier).run(planned, today)
    done = sum(1 for log in past.logs if log.status == SessionLog.Status.DONE)
    return Seeded(client, done, len(past.sets) + past.earlier)
