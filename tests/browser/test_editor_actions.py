"""The five commonest tasks of the editor, by keyboard and by pointer, and how many actions each takes.

An action is a key pressed, a line typed, a click or a drag; a drag with Ctrl held is one.
"""

import pytest
from playwright.sync_api import expect

from programs.models import PlannedExercise, PlannedSession
from tests.browser import test_editor
from tests.browser.answers import answered

library, session, rows = test_editor.library, test_editor.session, test_editor.rows
cell, opened = test_editor.cell, test_editor.opened


class Hands:
    """What a coach does to the page, counted."""

    def __init__(self, page):
        self.page, self.count = page, 0

    def press(self, key):
        self.count += 1
        self.page.keyboard.press(key)

    def type(self, text):
        self.count += 1
        self.page.keyboard.type(text)

    def click(self, target):
        self.count += 1
        self.page.locator(target).click()

    def drag(self, source, target, copy=False):
        self.count += 1
        if copy:
            self.page.keyboard.down("Control")
        self.page.drag_and_drop(source, target, target_position={"x": 60, "y": 3})
        if copy:
            self.page.keyboard.up("Control")


def change_by_keys(hands, rows, session):  # the focus is in the cell
    cell(hands.page, rows[0], "written").focus()
    hands.type("5 x 3 @ 85 %")
    with answered(hands.page):
        hands.press("Enter")


def change_by_pointer(hands, rows, session):
    hands.click(f"#row-{rows[0].pk}-written")
    hands.page.keyboard.press("Control+a")
    hands.count += 1
    hands.type("5 x 3 @ 85 %")
    with answered(hands.page):
        hands.click(f"#row-{rows[1].pk}-written")


def changed(rows, session):
    rows[0].refresh_from_db()
    assert rows[0].scheme["sets"] == 5


def add_by_keys(hands, rows, session):  # the focus is in the line under the table
    hands.page.locator("#add-exercise").focus()
    hands.type("Plank 3 x 30 s")
    with answered(hands.page, "/exercises/new/"):
        hands.press("Enter")


def add_by_pointer(hands, rows, session):
    hands.click("#add-exercise")
    hands.type("Plank 3 x 30 s")
    with answered(hands.page, "/exercises/new/"):
        hands.click("#add-exercise-go")


def added(rows, session):
    assert PlannedExercise.objects.latest("id").exercise.name == "Plank"


def order_by_keys(hands, rows, session):  # the focus is in the row
    cell(hands.page, rows[1], "written").focus()
    with answered(hands.page, "/place/"):
        hands.press("Shift+Alt+ArrowUp")


def order_by_pointer(hands, rows, session):
    with answered(hands.page, "/place/"):
        hands.drag(f"#row-{rows[1].pk} .grip", f"#row-{rows[0].pk}")


def ordered(rows, session):
    assert list(PlannedExercise.objects.order_by("position").values_list("pk", flat=True)) == [
        rows[1].pk, rows[0].pk, rows[2].pk,
    ]  # fmt: skip


def copy_by_keys(hands, rows, session):  # the focus is on the session
    hands.page.locator(f"#open-{session.pk}").focus()
    hands.press("Control+c")
    hands.press("ArrowRight")
    with answered(hands.page, "/place/"):
        hands.press("Control+v")


def copy_by_pointer(hands, rows, session):
    with answered(hands.page, "/place/"):
        hands.drag(f"#s-{session.pk}", "#grid tbody tr:nth-child(1) td:nth-child(3)", copy=True)


def copied(rows, session):
    assert set(PlannedSession.objects.values_list("week_no", "day")) == {(1, 0), (2, 0)}


def undo_by_keys(hands, rows, session):  # the focus is in the table
    change_by_keys(Hands(hands.page), rows, session)
    with answered(hands.page, "/undo/"):
        hands.press("Control+z")


def undo_by_pointer(hands, rows, session):
    change_by_keys(Hands(hands.page), rows, session)
    with answered(hands.page, "/undo/"):
        hands.click("#undo")


def undone(rows, session):
    rows[0].refresh_from_db()
    assert rows[0].scheme["sets"] == 3


TASKS = [
    (change_by_keys, 2, changed), (change_by_pointer, 4, changed),
    (add_by_keys, 2, added), (add_by_pointer, 3, added),
    (order_by_keys, 1, ordered), (order_by_pointer, 1, ordered),
    (copy_by_keys, 3, copied), (copy_by_pointer, 1, copied),
    (undo_by_keys, 1, undone), (undo_by_pointer, 1, undone),
]  # fmt: skip


@pytest.mark.parametrize(("task", "actions", "done"), TASKS, ids=[task.__name__ for task, _, _ in TASKS])
def test_a_common_task_takes_so_many_actions(signed_in, session, rows, task, actions, done):
    page = opened(signed_in, session)
    expect(page.locator("#rows")).to_have_attribute("role", "grid")
    hands = Hands(page)
    task(hands, rows, session)
    done(rows, session)
    assert hands.count == actions
    expect(page.locator("#changed")).not_to_be_empty()
