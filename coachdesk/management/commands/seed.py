"""Fills an empty database with the demo practice, and with more invented clients when asked."""

import sys
from time import perf_counter
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction
from django.utils import timezone

from coachdesk.management.memory import seldom_searched
from coachdesk.management.seeding.bulk import links_checked_at_the_end
from coachdesk.management.seeding.people import SEED, seed_practice
from coachdesk.management.seeding.years import POURED
from coachdesk.practice.models import Practice

FEWEST_CLIENTS, MOST_CLIENTS = 15, 2000
FEWEST_WEEKS, MOST_WEEKS = 4, 520
MOST_SEED = 2**31 - 1


class Command(BaseCommand):
    """manage.py seed [--clients N] [--weeks W] [--seed S]"""

    help = "Fill an empty database with the demo practice (all invented)."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--clients", type=int, metavar="N",
            help=f"clients in all, {FEWEST_CLIENTS} to {MOST_CLIENTS} (default: the demo clients alone)",
        )  # fmt: skip
        parser.add_argument(
            "--weeks", type=int, metavar="W",
            help=f"weeks of logs for each client, {FEWEST_WEEKS} to {MOST_WEEKS} (default: as each story says)",
        )  # fmt: skip
        parser.add_argument(
            "--seed", type=int, default=SEED, metavar="S", help=f"default {SEED}; another number, other days"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        clients, weeks, seed = options["clients"], options["weeks"], options["seed"]
        _check("--clients", clients, FEWEST_CLIENTS, MOST_CLIENTS)
        _check("--weeks", weeks, FEWEST_WEEKS, MOST_WEEKS)
        _check("--seed", seed, 0, MOST_SEED)
        found = Practice.objects.order_by("id").first()
        if found is not None:
            raise CommandError(
                f"This database holds the practice '{found.name}' already; seeding needs an empty database, "
                "for example another COACHDESK_HOME."
            )
        began, done = perf_counter(), 0
        try:
            # All or nothing: a first start that was interrupted must begin anew, not go on with half a practice.
            with seldom_searched(), transaction.atomic(), links_checked_at_the_end(POURED):
                for seeded in seed_practice(now=timezone.now(), clients=clients, weeks=weeks, seed=seed):
                    done += 1
                    _say(str(seeded))
        except KeyboardInterrupt:
            raise CommandError(f"Stopped after {done} clients; nothing was kept.") from None
        _say(f"{done} clients in {perf_counter() - began:.1f} s.")


def _check(name: str, value: int | None, least: int, most: int) -> None:
    if value is not None and not least <= value <= most:
        raise CommandError(f"{name} is {value}; it should be {least} to {most}.")


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)
