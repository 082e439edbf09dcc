"""Looks the database over, or a backup by a trial restore; changes nothing."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from coachdesk.management.backups import BackupError, check_backup, check_present


class Command(BaseCommand):
    """manage.py verify [FILE]"""

    help = "Check the database in use, or a backup by restoring it into a scratch database."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "file", nargs="?", type=Path, metavar="FILE", help="a backup (default: the database in use)"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            report = check_backup(options["file"]) if options["file"] else check_present()
        except BackupError as problem:
            raise CommandError(str(problem)) from problem
        for words in report.looked:
            self.stdout.write(f"Looked at {words}.")
        if report.wrong:
            raise CommandError("\n".join(f"Wrong: {words}." for words in report.wrong))
        self.stdout.write("All of it is as it should be.")
