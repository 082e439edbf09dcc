"""The weekly band of sets for a client's muscle, asked of the engine in one place."""

from datetime import date

from clients.mapping import client_traits
from clients.models import Client
from coachdesk import engine


def band_of(client: Client, muscle: str, on: date) -> tuple[float, float] | None:
    """(low, high) fractional sets a week for this muscle of this client on that day; None: the coach decides."""
    found = engine.band_for(client_traits(client, on), muscle, engine.DEFAULT)
    return found[0] if found else None
