"""A paper log typed by keyboard alone: how many keys a session takes, and that nothing typed is lost."""

import pytest
from django.urls import reverse

from programs.logs.models import Departure, SessionLog, SetLog
from programs.logs.services import edit_set
from tests.browser.answers import until
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON, IssuedSheetFactory, exercise_body, logged, straight_sets, written_steps
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


def open_log(signed_in, sheet, count=2):
    log = logged(sheet, steps=written_steps(sheet)[:count])
    return log, signed_in.go(reverse("logs:session_log_detail", args=[log.pk]))


def test_rows_typed_while_answers_are_slow_are_all_saved(signed_in, sheet):
    log, page = open_log(signed_in, sheet)

    def late(route):
        page.wait_for_timeout(400)
        route.continue_()

    page.route("**/set-logs/**", late)
    page.route("**/session-logs/*/sets/", late)
    for slot, text in (("1-1-1-b", "7"), ("1-2-1-b", "72.5 x 6 @1"), ("1-3-1-b", "9"), ("1-4-1-b", "5")):
        page.focus(f"#set-{slot}-reps")
        page.keyboard.press("Control+a")
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    page.locator("#save-status", has_text="Saved").wait_for()
    page.wait_for_function("!document.documentElement.dataset.waiting")
    rows = log.sets.filter(position=1).order_by("set_no").values_list("set_no", "load", "reps", "rir")
    wanted = [(1, 70_000, 7, None), (2, 72_500, 6, 1.0), (3, 70_000, 9, None), (4, 70_000, 5, None)]
    until(page, lambda: list(rows.all()) == wanted)


def test_two_tabs_on_one_sheet_make_one_log_and_lose_no_word(signed_in, sheet, context):
    url = reverse("logs:session_log", args=[sheet.pk])
    first, second = signed_in.go(url), context.new_page()
    second.goto(f"{signed_in.base}{url}", wait_until="networkidle")
    for page, text in ((first, "8 @2"), (second, "6 @0")):
        page.fill("#id_reps-1-1-1-b", text)
        page.fill("#id_note", f"Typed as {text}")
    first.click("#save-typed")
    first.wait_for_url("**/session-logs/*/")
    second.click("#save-typed")
    second.get_by_text("was saved before with other values").wait_for()
    assert second.input_value("#id_note") == "Typed as 6 @0"
    assert second.input_value("#id_reps-1-1-1-b") in ("6 @0", "6")
    assert SetLog.objects.get().reps == 8
    signed_in.forgive("422")


def test_one_logs_while_another_corrects_and_nobody_is_overwritten(signed_in, sheet, desk):
    log, page = open_log(signed_in, sheet)
    row = log.sets.get(position=1, set_no=2)
    edit_set(by=desk, set_log=row, version=1, values={"reps": 5}, now=NOON)
    # Another row is logged on the page as it was opened: both stand.
    page.fill("#set-1-3-1-b-reps", "7")
    page.keyboard.press("Enter")
    page.locator("#set-1-3-1-b", has_text="-1 rep").wait_for()
    # The same cell typed over: asked about, with what was typed still there.
    page.fill("#set-1-2-1-b-reps", "6")
    page.keyboard.press("Enter")
    page.locator("#set-1-2-1-b.conflict").wait_for()
    assert page.input_value("#set-1-2-1-b-reps") == "6"
    assert "5" in page.inner_text("#set-1-2-1-b .theirs")
    reps = log.sets.filter(position=1).order_by("set_no").values_list("reps", flat=True)
    assert list(reps) == [8, 5, 7]
    signed_in.forgive("409")
