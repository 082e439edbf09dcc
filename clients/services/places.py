"""Places and their equipment: a row's columns come from the engine's value."""

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from clients.models import Equipment, Place
from clients.services.stale import take_over
from clients.starting_sets import starting_set
from coachdesk.engine import equipment_to_json
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from coachdesk.practice.text import fold


def create_place(*, by: Membership, now: datetime, name: str, starting: str = "", spotter: str = "") -> Place:
    """A new place, with the equipment of a starting set where one is named. ValidationError."""
    with write(f"Add place {name}", by=by, at=now) as tape:
        _check_name(by, name)
        place = tape.create(Place(practice=by.practice, name=name, spotter=spotter))
        if not tape.act.subject:
            tape.act.subject = f"place:{place.pk}"
            tape.act.save(update_fields=["subject"])
        if starting:
            add_starting_set(by=by, place=place, now=now, key=starting)
        return place


def rename_place(*, by: Membership, place: Place, version: int, now: datetime, name: str) -> Place:
    """Give a place another name. Raises StaleEdit, ValidationError."""
    return edit_place(by=by, place=place, version=version, now=now, name=name)


def edit_place(*, by: Membership, place: Place, version: int, now: datetime, **fields: str) -> Place:
    """Change a place's `name`, or whether there is a `spotter`. Raises StaleEdit, ValidationError."""
    label = f"{'Rename' if set(fields) == {'name'} else 'Change'} place {place.name}"
    with write(label, by=by, subject=f"place:{place.pk}", at=now) as tape:
        row = take_over(tape.lock(place), version=version, fields=fields)
        _check_name(by, row.name, but=row)
        return tape.save(row)


def _check_name(by: Membership, name: str, but: Place | None = None) -> None:
    others = Place.objects.filter(practice_id=by.practice_id)
    if any(fold(other.name) == fold(name) for other in others if other != but):
        raise ValidationError({"name": f"There is a place called '{name}' already; choose another name."})


def add_equipment(
    *, by: Membership, place: Place, now: datetime, value: Any, count: int = 1, kind: str = ""
) -> Equipment:
    """Add `count` alike: `value` is the engine's equipment, whose name is new to the place. ValidationError.

    `kind`: what it stands for, where the value does not say it: bands and machines are both named steps.
    """
    with write(f"Add {value.name} to {place.name}", by=by, subject=f"place:{place.pk}", at=now) as tape:
        tape.lock(place)
        row = Equipment(place=place, count=count, **columns(value, kind))
        _check_equipment_name(row)
        return tape.create(row)


def add_starting_set(*, by: Membership, place: Place, now: datetime, key: str) -> None:
    """Add a starting set; pieces whose name is taken there are left out: pressing twice adds nothing."""
    with write(f"Add equipment to {place.name}", by=by, subject=f"place:{place.pk}", at=now) as tape:
        tape.lock(place)
        taken = {fold(name) for name in place.equipment.values_list("name", flat=True)}
        for value in starting_set(key):
            if fold(value.name) not in taken:
                add_equipment(by=by, place=place, now=now, value=value)


def edit_equipment(
    *, by: Membership, equipment: Equipment, version: int, now: datetime, value: Any, count: int | None = None
) -> Equipment:
    """Replace one piece's value and how many there are, last seen at `version`. Raises StaleEdit, ValidationError."""
    subject = f"place:{equipment.place_id}"
    fields = columns(value, equipment.kind)
    if count is not None:
        fields["count"] = count
    with write(f"Edit {equipment.name} at {equipment.place.name}", by=by, subject=subject, at=now) as tape:
        row = take_over(tape.lock(equipment), version=version, fields=fields)
        _check_equipment_name(row)
        return tape.save(row)


def remove_equipment(*, by: Membership, equipment: Equipment, now: datetime) -> None:
    """Take one piece away; programmes keep the loads they were issued with."""
    subject = f"place:{equipment.place_id}"
    with write(f"Remove {equipment.name} from {equipment.place.name}", by=by, subject=subject, at=now) as tape:
        tape.delete(tape.lock(equipment))


def columns(value: Any, kind: str = "") -> dict[str, Any]:
    """The engine's equipment as the columns of a row; bands have no unit, and 'kg' stands in the column."""
    spec = equipment_to_json(value)
    # The name stands in its own column only, so that renaming and changing the loads merge.
    del spec["name"]
    return {"kind": kind or value.kind, "name": value.name, "unit": value.unit or "kg", "spec": spec}


def _check_equipment_name(row: Equipment) -> None:
    others = Equipment.objects.filter(place_id=row.place_id).exclude(pk=row.pk)
    if any(fold(other) == fold(row.name) for other in others.values_list("name", flat=True)):
        raise ValidationError({"name": f"'{row.name}' is here already; choose another name."})
