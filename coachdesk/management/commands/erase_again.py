"""Erases whoever was erased before and came back with an old copy of the database, and revokes links again."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from clients.links.services import revoke_again
from clients.records.services import erase_again


class Command(BaseCommand):
    """manage.py erase_again"""

    help = "Erase and revoke again what was erased and revoked before; run after putting back an old database by hand."

    def handle(self, *args: Any, **options: Any) -> None:
        count = erase_again()
        links = revoke_again(now=timezone.now())
        self.stdout.write(f"Erased again: {count} client{'' if count == 1 else 's'}.")
        self.stdout.write(f"Revoked again: {links} link{'' if links == 1 else 's'}.")
