"""Puts a backup in the place of the present database."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from coachdesk.management.backups import BackupError, restore_backup


class Command(BaseCommand):
    """manage.py restore FILE"""

    help = "Put a backup in the place of the present database, which is kept aside. Stop the desk first."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE", help="a file that 'manage.py backup' made")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            for line in restore_backup(options["file"], now=timezone.now()):
                self.stdout.write(line)
        except BackupError as problem:
            raise CommandError(str(problem)) from problem
