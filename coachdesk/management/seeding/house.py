"""The practice before its clients: members, exercise library, places and what stands in them."""

from dataclasses import replace
from datetime import datetime

from clients.models import Place
from clients.services import add_equipment, create_place
from coachdesk.demo import practice as demo
from coachdesk.demo.places import PLACES
from coachdesk.demo.shapes import DemoPlace
from coachdesk.practice.models import Membership
from coachdesk.practice.services import add_member, found_practice
from coachdesk.practice.tape import write
from programs.mapping import Kits, exercise_traits
from programs.models import Exercise
from programs.services import load_library


class House:
    """What every client of the practice is seeded with: the two coaches, places and exercises by code."""

    def __init__(self, owner: Membership, second: Membership, places: dict[str, Place]) -> None:
        self.owner, self.second, self.places = owner, second, places
        rows = list(Exercise.objects.filter(practice=None).prefetch_related("muscles"))
        self.by_code = {row.code: row for row in rows}
        self.by_id = {row.pk: row for row in rows}
        self.traits = {row.pk: exercise_traits(row) for row in rows}
        self.kits = Kits()

    def code_of(self, key: str | int) -> str:
        """The library code of the exercise with this id."""
        return self.by_id[int(key)].code


def open_house(now: datetime) -> House:
    """The empty demo practice in an empty database."""
    load_library()
    owner = found_practice(name=demo.PRACTICE, owner_name=demo.OWNER[0], email=demo.OWNER[1])
    roles = Membership.Role
    second = _member(owner, demo.SECOND_COACH, roles.COACH)
    assistant = _member(owner, demo.ASSISTANT, roles.ASSISTANT)
    assistant.assists.add(owner)
    return House(owner, second, {place.code: _place(owner, place, now) for place in PLACES})


def _member(owner: Membership, who: tuple[str, str], role: str) -> Membership:
    return add_member(practice=owner.practice, name=who[0], email=who[1], role=role)


def _place(owner: Membership, place: DemoPlace, now: datetime) -> Place:
    with write(f"Add place {place.name}", by=owner, at=now):
        made = create_place(by=owner, now=now, name=place.name, spotter=place.spotter)
        for piece in place.equipment:
            add_equipment(by=owner, place=made, now=now, value=replace(piece.kit, name=piece.name))
    return made
