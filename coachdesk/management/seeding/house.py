"""The practice before its clients: members, exercise library, places and what stands in them."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from itertools import cycle, repeat
from uuid import UUID

from clients.models import Place
from clients.services import add_equipment, create_place
from coachdesk.demo import practice as demo
from coachdesk.demo.places import PLACES
from coachdesk.demo.shapes import DemoPlace
from coachdesk.practice.models import Membership
from coachdesk.practice.services import add_member, found_practice
from coachdesk.practice.tape import write
from programs.mapping import Kits, exercise_traits
from programs.models import Exercise, TemplateVersion
from programs.services import load_library

CLIENTS_A_COACH = 50


class House:
    """What every client of the practice is seeded with: the coaches, places and exercises by code.

    `more`: coaches besides the demo's two, of a big practice; the drawn clients go round all of them.
    """

    def __init__(
        self, owner: Membership, second: Membership, places: dict[str, Place], more: Sequence[Membership] = ()
    ) -> None:
        self.owner, self.second, self.places = owner, second, places
        self._turns = cycle([owner, second, *more]) if more else repeat(owner)
        rows = list(Exercise.objects.filter(practice=None).prefetch_related("muscles"))
        self.by_code = {row.code: row for row in rows}
        self.by_id = {row.pk: row for row in rows}
        self.traits = {row.pk: exercise_traits(row) for row in rows}
        self.kits = Kits()
        # By name: the version that copies are made of, and the space of the uids they share with it.
        self.templates: dict[str, tuple[TemplateVersion, UUID]] = {}

    def coach_of(self, key: str) -> Membership:
        """Whose client the person with this key is; asked once for each, in order."""
        if key in demo.OF_SECOND_COACH:
            return self.second
        return next(self._turns) if key.startswith("drawn-") else self.owner

    def code_of(self, key: str | int) -> str:
        """The library code of the exercise with this id."""
        return self.by_id[int(key)].code


def open_house(now: datetime, clients: int = 0) -> House:
    """The empty demo practice in an empty database, with as many coaches as so many clients need."""
    load_library()
    owner = found_practice(name=demo.PRACTICE, owner_name=demo.OWNER[0], email=demo.OWNER[1])
    roles = Membership.Role
    second = _member(owner, demo.SECOND_COACH, roles.COACH)
    assistant = _member(owner, demo.ASSISTANT, roles.ASSISTANT)
    assistant.assists.add(owner)
    more = [_member(owner, who, roles.COACH) for who in demo.more_coaches(clients // CLIENTS_A_COACH - 2)]
    return House(owner, second, {place.code: _place(owner, place, now) for place in PLACES}, more)


def _member(owner: Membership, who: tuple[str, str], role: str) -> Membership:
    return add_member(practice=owner.practice, name=who[0], email=who[1], role=role)


def _place(owner: Membership, place: DemoPlace, now: datetime) -> Place:
    with write(f"Add place {place.name}", by=owner, at=now):
        made = create_place(by=owner, now=now, name=place.name, spotter=place.spotter)
        for piece in place.equipment:
            add_equipment(by=owner, place=made, now=now, value=replace(piece.kit, name=piece.name))
    return made
