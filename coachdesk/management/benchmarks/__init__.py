"""The benchmarks by name. A new one is a module with a `make_...` or `measure_...` and one line here."""

from coachdesk.management.benchmarks.assign import measure_assign
from coachdesk.management.benchmarks.edit import make_edit
from coachdesk.management.benchmarks.harness import Benchmark
from coachdesk.management.benchmarks.log_rate import measure_log_rate
from coachdesk.management.benchmarks.log_set import make_log_set, make_log_set_taught
from coachdesk.management.benchmarks.pages import make_client, make_floor, make_roster, make_roster_cold, make_trends
from coachdesk.management.benchmarks.plans import measure_plans
from coachdesk.management.benchmarks.prescribe import measure_prescribe
from coachdesk.management.benchmarks.sheets import measure_sheets

FLOOR = Benchmark("floor", "a signed-in page with nothing on it", make_floor)
BENCHMARKS = {
    one.name: one
    for one in (
        FLOOR,
        Benchmark("roster", "the roster, seen before", make_roster),
        Benchmark(
            "roster_cold", "the roster with nothing kept in memory, as after a start", make_roster_cold, apart=True
        ),
        Benchmark("client", "the page of the client of whom most maxima are known", make_client),
        Benchmark("trends", "that client's trends", make_trends),
        # What these write, the roster would work out anew in the next round.
        Benchmark("edit", "one change in a 12-week programme until its fragment is back", make_edit, apart=True),
        Benchmark("log_set", "one set logged and acknowledged", make_log_set, apart=True),
        Benchmark(
            "log_set_taught", "the same with the estimates that follow on its page", make_log_set_taught, apart=True
        ),
    )
}

# these need no database, and bring a floor of their own
ALONE = {"prescribe": measure_prescribe}

# these write on the scratch copy too long to take turns, and bring a floor of their own
WHOLE = {"assign": measure_assign, "log_rate": measure_log_rate, "plans": measure_plans, "sheets": measure_sheets}

__all__ = ["ALONE", "BENCHMARKS", "FLOOR", "WHOLE", "Benchmark"]
