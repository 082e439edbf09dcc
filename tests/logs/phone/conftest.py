"""A sheet on the phone of the client whose link `as_client` holds."""

import pytest

from clients.models import Client, Place
from programs.models import IssuedSheet
from tests.factories.phone import handed_to


@pytest.fixture
def handed(linked: Client, gym: Place) -> IssuedSheet:
    """Bench press, a drop set of curls, and side planks."""
    return handed_to(linked, gym)
