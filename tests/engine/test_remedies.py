"""Remedies on programmes nobody thought of: whatever is flagged, each way out works."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coachdesk.engine import ClientTraits, SessionPlan, apply_edits, find_flags
from tests.engine.cast import BAR, BENCH, CURL, DEADLIFT, DUMBBELLS, PRESS, PULLDOWN, ROW, SQUAT, STACK, plan
from tests.engine.test_scheme import EXAMPLES, SERIES, schemes

PLACES = ((BENCH, BAR), (SQUAT, BAR), (ROW, BAR), (DEADLIFT, BAR), (PRESS, BAR), (CURL, DUMBBELLS), (PULLDOWN, STACK))
clients = st.builds(
    ClientTraits,
    level=st.sampled_from(["novice", "intermediate", "advanced"]),
    age=st.sampled_from([None, 30, 70]),
    screening=st.sampled_from(["ok", "missing", "expired"]),
    weeks_trained=st.sampled_from([None, 0, 20]),
    marks=st.sampled_from([(), (("chest", "grow"), ("quads", "hold")), (("biceps", "grow"), ("lats", "rehab"))]),
)
exercises = st.tuples(
    st.sampled_from(PLACES),
    st.one_of(st.sampled_from([*EXAMPLES, SERIES]), schemes),
    st.sampled_from([None, 15.0, 60.0, 100.0, 180.0]),
)
programmes = st.lists(
    st.tuples(st.integers(0, 13), st.lists(exercises, min_size=1, max_size=4)), min_size=1, max_size=6
)


def built(rows):
    return tuple(
        SessionPlan(
            f"s{n}",
            day,
            f"Day {n}",
            tuple(plan(f"{n}-{i}", pair[0], made, kg, pair[1]) for i, (pair, made, kg) in enumerate(plans)),
        )
        for n, (day, plans) in enumerate(rows)
    )


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(programmes, clients)
def test_each_remedy_of_each_flag_makes_it_go_away(rows, client):
    sessions = built(rows)
    for flag in find_flags(sessions, client):
        assert flag.remedies
        assert flag.sentence
        for remedy in flag.remedies:
            after = find_flags(*apply_edits(sessions, client, remedy.edits))
            assert flag.id not in [other.id for other in after], (flag.code, remedy.label)
