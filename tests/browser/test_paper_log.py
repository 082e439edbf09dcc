"""A paper log typed by keyboard alone: how many keys a session takes, and that nothing typed is lost."""

import pytest
from django.urls import reverse

from programs.logs.models import Departure, SessionLog, SetLog
from tests.factories.clients import ClientFactory
from tests.factories.logs import IssuedSheetFactory, exercise_body, straight_sets
from tests.factories.programs import ExerciseFactory


class Keys:
    """A keyboard that counts: a chord such as Control+Enter is one stroke."""

    def __init__(self, page):
        self.page, self.count = page, 0

    def press(self, *names):
        for name in names:
            self.page.keyboard.press(name)
            self.count += 1

    def type(self, text):
        self.page.keyboard.type(text)
        self.count += len(text)


@pytest.fixture
def sheet(desk):
    """Five exercises of four sets."""
    bodies = [exercise_body(ExerciseFactory(), n, steps=straight_sets(4)) for n in range(1, 6)]
    return IssuedSheetFactory(client=ClientFactory(coach=desk, name="Amara Tolledo"), exercises=bodies)


@pytest.fixture
def keys(signed_in, sheet):
    return Keys(signed_in.go(reverse("logs:session_log", args=[sheet.pk])))


def focused(page):
    return page.evaluate("document.activeElement.id")


def saved(keys):
    keys.page.wait_for_url("**/session-logs/*/")
    return list(SetLog.objects.order_by("position", "set_no").values_list("load", "reps", "rir", "as_written"))


def test_twenty_sets_as_written_one_by_one(keys, record_property):
    assert focused(keys.page) == "id_reps-1-1-1-b"
    keys.press(*["Enter"] * 4)
    # After the last set of an exercise the cursor is on the first of the next.
    assert focused(keys.page) == "id_reps-2-1-1-b"
    keys.press(*["Enter"] * 16)
    assert focused(keys.page) == "id_minutes"
    keys.type("55")
    keys.press("Enter")
    keys.type("7")
    keys.press("Enter")
    assert saved(keys) == [(70_000, 8, None, True)] * 20
    log = SessionLog.objects.get()
    assert (log.minutes, log.rating) == (55, 7)
    record_property("keystrokes", keys.count)
    # 20 for the sets, 2 + 1 for the minutes, 1 + 1 for the rating, which sends.
    assert keys.count == 25


def test_twenty_sets_as_written_by_exercise(keys, record_property):
    keys.press(*["Shift+Enter"] * 5)
    assert focused(keys.page) == "id_minutes"
    keys.press("Control+Enter")
    assert saved(keys) == [(70_000, 8, None, True)] * 20
    record_property("keystrokes", keys.count)
    assert keys.count == 6


def test_twenty_sets_with_five_differences(keys, record_property):
    differences = {3: "7", 7: "72.5 x 8", 8: "72.5 x 6 @0", 12: "8 @3", 20: "-"}
    for number in range(1, 21):
        keys.type(differences.get(number, ""))
        keys.press("Enter")
    keys.press("Control+Enter")
    rows = saved(keys)
    assert len(rows) == 19
    assert [rows[n - 1] for n in (3, 7, 8, 12)] == [
        (70_000, 7, None, False), (72_500, 8, None, False), (72_500, 6, 0.0, False), (70_000, 8, 3.0, False),
    ]  # fmt: skip
    assert sum(written for *_, written in rows) == 15
    record_property("keystrokes", keys.count)
    # 20 Enter, 25 characters of what was different, one to save.
    assert keys.count == 46


def test_a_typed_set_is_set_out_in_its_columns(keys):
    page = keys.page
    keys.type("72.5 x 8 @1.5")
    keys.press("Enter")
    values = [page.input_value(f"#id_{part}-1-1-1-b") for part in ("load", "reps", "rir")]
    assert values == ["72.5", "8", "1.5"]
    keys.press("Enter")
    assert page.is_checked("#written-1-2-1-b")
    keys.press("ArrowUp")
    keys.press("Backspace")
    assert not page.is_checked("#written-1-2-1-b")


def test_left_out_and_done_otherwise_without_a_pointer(keys):
    page = keys.page
    swapped = ExerciseFactory(name="Dumbbell press", equipment_kind="dumbbell", implements=2)
    page.focus("#departs-1-open")
    keys.press("Enter", "Tab")
    keys.type("Dumbbell press")
    keys.press("Tab")
    keys.type("bench taken")
    keys.press("Tab", "Tab", "Tab")
    assert focused(page) == "id_reps-1-1-1-b"
    keys.type("30 x 8")
    keys.press("Enter")
    keys.type("- elbow sore")
    keys.press("Control+Enter")
    page.wait_for_url("**/session-logs/*/")
    assert SetLog.objects.get().exercise == swapped
    there = set(Departure.objects.values_list("place", "why"))
    assert there == {("1", "bench taken"), ("1-2-1-b", "elbow sore")}
