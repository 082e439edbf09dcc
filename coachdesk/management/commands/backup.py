"""Makes a backup of the database while the desk runs."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError
from django.utils import timezone

from coachdesk.management.backups import KEEP, BackupError, make_backup


class Command(BaseCommand):
    """manage.py backup [--to FOLDER] [--keep N]"""

    help = "Make a backup of the database, while the desk runs or not."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--to", metavar="FOLDER", type=Path, help="default: backups/ in COACHDESK_HOME")
        parser.add_argument("--keep", metavar="N", type=int, default=KEEP, help=f"newest kept (default {KEEP})")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["keep"] < 1:
            raise CommandError(f"--keep is {options['keep']}; it should be 1 or more.")
        try:
            made = make_backup(now=timezone.now(), folder=options["to"], keep=options["keep"])
        except (BackupError, DatabaseError) as problem:
            raise CommandError(str(problem)) from problem
        self.stdout.write(f"{made}.")
        self.stdout.write(f"It lies in {made.path.parent}; a copy on another machine survives this one.")
