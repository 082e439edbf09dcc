"""Kills a desk of its own again and again while sets are logged, and counts what was lost."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from coachdesk.management.endurance import endure


class Command(BaseCommand):
    """manage.py endure [--kills N] [--sets N]"""

    help = "Kill a desk of its own (kill -9) while sets are logged, and count what it lost. Your data are not touched."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--kills", type=int, default=200, metavar="N", help="how often (default 200)")
        parser.add_argument(
            "--sets", type=int, default=100_000, metavar="N", help="until so many are acknowledged (default 100,000)"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["kills"] < 1 or options["sets"] < 1:
            raise CommandError("--kills and --sets should be 1 or more.")
        found = endure(kills=options["kills"], sets=options["sets"], now=timezone.now(), say=_say)
        self.stdout.write(str(found))
        if not found.holds:
            raise CommandError("The desk did not keep what it acknowledged.")


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)
