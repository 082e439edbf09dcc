"""Tells Django the app's name and label."""

from django.apps import AppConfig


class ClientsConfig(AppConfig):
    """The clients app."""

    name = "clients"
    label = "clients"
