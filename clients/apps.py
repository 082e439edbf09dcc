"""Tells Django the app's name and label, and loads what guards an undo."""

from django.apps import AppConfig


class ClientsConfig(AppConfig):
    """The clients app."""

    name = "clients"
    label = "clients"

    def ready(self) -> None:
        from clients.links import services as links  # noqa: F401
        from clients.records import services  # noqa: F401
        from clients.staff import services as staff  # noqa: F401
        from clients.staff import words  # noqa: F401
