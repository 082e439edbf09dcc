"""Erases whoever was erased before and came back with an old copy of the database."""

from typing import Any

from django.core.management.base import BaseCommand

from clients.records.services import erase_again


class Command(BaseCommand):
    """manage.py erase_again"""

    help = "Erase again every client on the list of erased ones; run after putting back an old database by hand."

    def handle(self, *args: Any, **options: Any) -> None:
        count = erase_again()
        self.stdout.write(f"Erased again: {count} client{'' if count == 1 else 's'}.")
