"""Moves a desk from its SQLite file into the PostgreSQL database that DATABASE_URL names."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from coachdesk.management.moving import MoveError, move_in


class Command(BaseCommand):
    """manage.py move FILE"""

    help = "Copy the desk in an SQLite file into the empty PostgreSQL database of DATABASE_URL. Stop the desk first."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE", help="the desk's SQLite file; it stays as it is")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            count = move_in(options["file"], self.stdout.write)
        except MoveError as problem:
            raise CommandError(str(problem)) from problem
        self.stdout.write(f"{count:,} rows are moved. The file stays as it is; everybody signs in again.")
