"""A browser that holds a client's link, for tests."""

from django.test import Client as Browser

from clients.links.doors import COOKIE
from clients.models import Client
from coachdesk.practice.digest import new_token
from tests.factories.clients import ClientLinkFactory


def with_link(client: Client) -> Browser:
    """A browser that opened a new link of this client and holds nothing else."""
    browser, token = Browser(), new_token()
    ClientLinkFactory(client=client, token=token)
    browser.cookies[COOKIE] = token
    return browser
