"""Doors to clients, places and what hangs on them: found and visible, or 404."""

from django.http import HttpRequest

from clients import selectors
from clients.models import Client, Equipment, Place, Precaution
from coachdesk.practice.doors import desk_of, get_or_404


def get_client_or_404(request: HttpRequest, pk: int) -> Client:
    """A client this member may see, with coach and place."""
    return get_or_404(selectors.visible_clients(desk_of(request)), request, pk)


def get_precaution_or_404(request: HttpRequest, pk: int) -> Precaution:
    """A precaution of a client this member may see."""
    return get_or_404(selectors.visible_precautions(desk_of(request)), request, pk)


def get_place_or_404(request: HttpRequest, pk: int) -> Place:
    """A place of this member's practice."""
    return get_or_404(selectors.visible_places(desk_of(request)), request, pk)


def get_equipment_or_404(request: HttpRequest, pk: int) -> Equipment:
    """A piece of equipment at a place of this member's practice."""
    return get_or_404(selectors.visible_equipment(desk_of(request)), request, pk)
