"""Switchboards for clients and places: get, bind, call, answer."""

from clients.views.people import (
    client_archive,
    client_detail,
    client_edit,
    client_list,
    client_new,
    client_restore,
)
from clients.views.places import (
    equipment_edit,
    equipment_new,
    equipment_remove,
    equipment_start,
    place_detail,
    place_edit,
    place_list,
    place_new,
)
from clients.views.standing import muscles_edit, precaution_end, precaution_new, screening_new

__all__ = [
    "client_archive", "client_detail", "client_edit", "client_list", "client_new", "client_restore",
    "equipment_edit", "equipment_new", "equipment_remove", "equipment_start", "muscles_edit", "place_detail",
    "place_edit", "place_list", "place_new", "precaution_end", "precaution_new", "screening_new",
]  # fmt: skip
