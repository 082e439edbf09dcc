"""Measures how long the desk takes, on a scratch copy of the database, and compares it with an empty page."""

import json
import sys
from collections.abc import Iterable
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from clients.models import Client
from coachdesk.management.benchmarks import ALONE, BENCHMARKS, FLOOR, WHOLE
from coachdesk.management.benchmarks.harness import WARM_UP, Measured, measure
from coachdesk.management.benchmarks.scratch import ScratchError, scratch_database
from coachdesk.management.benchmarks.stage import NothingToMeasureError, Stage
from coachdesk.management.memory import settle
from programs.logs.models import SetLog

NAMES = [*BENCHMARKS, *WHOLE, *ALONE]
FEWEST_ROUNDS, ROUNDS, MOST_ROUNDS = 5, 40, 300


def digits(value: float) -> float:
    """To five digits that count, however small the value: a ratio of 0.03450 must not end as 0.034."""
    return float(f"{value:.5g}")


class Command(BaseCommand):
    """manage.py measure [NAME ...] [--json] [--rounds N]"""

    help = f"Measure on a scratch copy of the database: {', '.join(NAMES)}."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("names", nargs="*", metavar="NAME", help=f"any of {', '.join(NAMES)} (default: all)")
        parser.add_argument("--json", action="store_true", help="one object a line instead of a table")
        parser.add_argument("--rounds", type=int, default=ROUNDS, metavar="N", help=f"repetitions (default {ROUNDS})")

    def handle(self, *args: Any, **options: Any) -> None:
        wanted, rounds = options["names"] or NAMES, options["rounds"]
        unknown = next((name for name in wanted if name not in NAMES), None)
        if unknown is not None:
            raise CommandError(f"There is no benchmark '{unknown}'; there are: {', '.join(NAMES)}.")
        if not FEWEST_ROUNDS <= rounds <= MOST_ROUNDS:
            raise CommandError(f"--rounds is {rounds}; it should be {FEWEST_ROUNDS} to {MOST_ROUNDS}.")
        names = list(dict.fromkeys(wanted))
        found = self._on_scratch([name for name in names if name in BENCHMARKS or name in WHOLE], rounds)
        found += [one for name in names if name in ALONE for one in ALONE[name](rounds)]
        for line in _lines(found) if options["json"] else _table(found):
            self.stdout.write(line)

    def _on_scratch(self, names: list[str], rounds: int) -> list[Measured]:
        if not names:
            return []
        try:
            with scratch_database() as words:
                _say(words)
                _say(f"{Client.objects.count():,} clients, {SetLog.objects.count():,} set logs; {rounds} rounds after "
                     f"{WARM_UP} to warm up, side by side.")  # fmt: skip
                settle()  # as the desk does when it starts
                stage = Stage.set_up()
                found = measure(stage, [BENCHMARKS[name] for name in names if name in BENCHMARKS], FLOOR, rounds)
                return found + [one for name in names if name in WHOLE for one in WHOLE[name](stage, rounds)]
        except (ScratchError, NothingToMeasureError) as problem:
            raise CommandError(str(problem)) from problem


def _lines(found: Iterable[Measured]) -> Iterable[str]:
    for one in found:
        yield json.dumps(
            {
                "name": one.name, "value": digits(one.value), "unit": one.unit,
                "reference": digits(one.reference), "ratio": digits(one.ratio), "p95": digits(one.p95),
                "queries": one.queries,
            }
        )  # fmt: skip


def _table(found: Iterable[Measured]) -> Iterable[str]:
    yield f"{'name':<16} {'median':>10} {'p95':>9} {'unit':<9} {'queries':>8} {'x floor':>8}  what"
    for one in found:
        numbers = f"{one.value:>10.2f} {one.p95:>9.2f} {one.unit:<9} {one.queries:>8} {one.ratio:>8.2f}"
        yield f"{one.name:<16} {numbers}  {one.what}"


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)
