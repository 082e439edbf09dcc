"""The editor as an instrument: by keyboard alone, by pasting, with the line cut, and what a screen reader is told."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from programs.models import PlannedExercise, PlannedSession
from programs.services import load_library
from tests.browser.answers import answered
from tests.browser.rules import broken_rules
from tests.factories.clients import ClientFactory
from tests.factories.programs import PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory


@pytest.fixture
def library(transactional_db):
    """The exercise library, which a transactional test does not find in the database."""
    load_library()


@pytest.fixture
def session(desk, gym, library):
    """An empty session of a client whose maxima nobody knows."""
    program = ProgramFactory(coach=desk, client=ClientFactory(coach=desk, place=gym))
    return PlannedSessionFactory(program=program)


@pytest.fixture
def rows(session):
    """Three planned exercises at 75 %."""
    return [PlannedExerciseFactory(session=session, position=n) for n in (1, 2, 3)]


def opened(signed_in, session):
    path = reverse("programs:program_detail", args=[session.block.program_id])
    return signed_in.go(f"{path}?session={session.pk}")


def forgive(signed_in):
    """What is refused on purpose, and a line that is cut, is no trouble; anything else still is."""
    signed_in.forgive("422", "404", "500", "ERR_INTERNET_DISCONNECTED", "htmx:afterRequest", "htmx:sendError")


def cell(page, row, name):
    return page.locator(f"#row-{row.pk}-{name}")


def focused(page):
    return page.evaluate("document.activeElement.id")


def test_a_session_is_built_and_changed_by_keyboard_alone(signed_in, session):
    page = opened(signed_in, session)
    press, kind = page.keyboard.press, page.keyboard.type
    page.locator("#add-exercise").focus()
    for line in ("Bench press 4 x 6-8 @ 75 % rest 2 min", "Back squat 80/65/50 to failure", "Plank 3 x 30 s"):
        kind(line)
        with answered(page, "/exercises/new/"):
            press("Enter")
        expect(page.locator("#add-exercise")).to_be_focused()
        expect(page.locator("#add-exercise")).to_have_value("")
    first, second, third = PlannedExercise.objects.order_by("position")
    assert [row.exercise.name for row in (first, second, third)] == ["Bench press", "Back squat", "Plank"]
    assert (first.scheme["sets"], first.scheme["step"]["reps"]["high"], first.scheme["rest_s"]) == (4, 8, 120)

    page.locator("#rows-region [tabindex='0']").first.focus()
    press("Control+Home")
    press("ArrowRight")
    expect(cell(page, first, "written")).to_be_focused()
    kind("3 x 5 @ 80 % rest 3 min")  # typing replaces
    with answered(page):
        press("Enter")  # saves and goes down
    expect(cell(page, second, "written")).to_be_focused()
    expect(cell(page, first, "reps")).to_have_value("5")
    expect(cell(page, first, "rest")).to_have_value("180")

    press("ArrowUp")
    press("End")
    press("ArrowLeft")
    expect(cell(page, first, "rest")).to_be_focused()
    kind("90")
    press("Escape")
    expect(cell(page, first, "rest")).to_have_value("180")
    press("Home")
    for _ in range(3):
        press("ArrowRight")
    expect(cell(page, first, "sets")).to_be_focused()
    kind("5")
    with answered(page):
        press("Tab")  # saves and goes to the next cell
    expect(cell(page, first, "load_kind")).to_be_focused()
    expect(cell(page, first, "written")).to_have_value("5 x 5 @ 80 %, rest 3 min")
    press("Tab")
    press("F2")  # edits: the arrows now move within the text
    press("ArrowLeft")
    kind("7")
    expect(cell(page, first, "load_value")).to_have_value("870")
    press("Escape")
    page.locator("#undo").focus()
    with answered(page, "/undo/"):
        press("Enter")
    expect(cell(page, first, "sets")).to_have_value("3")
    assert focused(page) == "undo"


def test_the_rows_are_a_grid_with_one_tab_stop(signed_in, session, rows):
    page = opened(signed_in, session)
    for grid in ("#rows", "#grid"):
        expect(page.locator(grid)).to_have_attribute("role", "grid")
        assert page.locator(f"{grid} [tabindex='0']").count() == 1
    cell(page, rows[0], "kind").focus()
    page.keyboard.type("Dro")
    with answered(page):
        page.keyboard.press("ArrowDown")
    expect(cell(page, rows[1], "kind")).to_be_focused()
    expect(cell(page, rows[0], "kind")).to_have_value("drop_set")
    expect(cell(page, rows[1], "kind")).to_have_value("straight")
    page.keyboard.press("Control+End")
    page.keyboard.press("Enter")  # More: its first control has the focus, Esc comes back
    expect(cell(page, rows[2], "cue")).to_be_focused()
    page.keyboard.press("Escape")
    assert focused(page) == f"row-{rows[2].pk}-more-open"


def test_days_are_walked_by_arrows_and_enter_opens_or_starts_a_session(signed_in, session, rows):
    PlannedSessionFactory(program=session.block.program, week_no=2, day=0, name="Other")
    page = opened(signed_in, session)
    page.locator(f"#open-{session.pk}").focus()
    page.keyboard.press("ArrowRight")
    with answered(page, "session=", "GET"):
        page.keyboard.press("Enter")
    expect(page.locator("#session-name")).to_contain_text("Other")
    assert focused(page).startswith("open-")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(page.locator("#new-name")).to_be_focused()
    assert (page.locator("#new-week").input_value(), page.locator("#new-day").input_value()) == ("2", "1")


def paste(page, text):
    page.evaluate(
        """text => {
            const clipboardData = new DataTransfer();
            clipboardData.setData("text/plain", text);
            const event = new ClipboardEvent("paste", {clipboardData, bubbles: true, cancelable: true});
            document.activeElement.dispatchEvent(event);
        }""",
        text,
    )


def test_a_pasted_column_fills_down_and_loses_nothing(signed_in, session, rows):
    page = opened(signed_in, session)
    forgive(signed_in)
    cell(page, rows[0], "reps").focus()
    paste(page, "5\r\n\r\nmany\r\n12\r\n")
    expect(page.locator(f"#row-{rows[2].pk}-reps-error")).to_contain_text("'many'")
    expect(cell(page, rows[2], "reps")).to_have_value("many")
    expect(page.locator("#paste-left")).to_contain_text("12")
    expect(cell(page, rows[0], "written")).to_have_value("3 x 5 @ 75 %, rest 2 min")
    expect(cell(page, rows[1], "written")).to_have_value("3 x 8 @ 75 %, rest 2 min")
    cell(page, rows[2], "reps").focus()
    with answered(page):
        page.keyboard.press("Escape")
    expect(cell(page, rows[2], "reps")).to_have_value("8")
    expect(page.locator(f"#row-{rows[2].pk}-reps-error")).to_have_count(0)
    cell(page, rows[1], "sets").focus()
    paste(page, "4\tload\t60\t6\n5\tno such load\t70\t4")
    expect(cell(page, rows[2], "written")).to_have_value("5 x 4 @ 70 %, rest 2 min")
    expect(cell(page, rows[1], "written")).to_have_value("4 x 6 @ 60 kg, rest 2 min")
    expect(page.locator("#paste-left")).to_contain_text("no such load")


def test_what_is_typed_while_the_line_is_cut_is_kept_and_sent_when_it_is_back(signed_in, session, rows, context):
    page = opened(signed_in, session)
    forgive(signed_in)
    context.set_offline(True)
    cell(page, rows[0], "written").focus()
    page.keyboard.type("5 x 3 @ 85 %")
    page.keyboard.press("Enter")
    expect(page.locator("#save-status")).to_contain_text("Connection lost")
    expect(cell(page, rows[0], "written")).to_have_value("5 x 3 @ 85 %")
    context.set_offline(False)
    expect(cell(page, rows[0], "reps")).to_have_value("3", timeout=10_000)
    rows[0].refresh_from_db()
    assert (rows[0].scheme["sets"], rows[0].version) == (5, 2)
    assert focused(page) == f"row-{rows[1].pk}-written"


def test_a_misread_line_keeps_the_text_and_nothing_breaks_a_rule(signed_in, session, rows):
    page = opened(signed_in, session)
    forgive(signed_in)
    cell(page, rows[0], "written").focus()
    page.keyboard.type("4 x 6-8 @ 75 % rst 2")
    with answered(page):
        page.keyboard.press("Enter")
    error = page.locator(f"#row-{rows[0].pk}-written-error")
    expect(error).to_have_text("Understood 4 sets of 6-8 at 75 %. Not understood: 'rst 2'.")
    expect(cell(page, rows[0], "written")).to_have_value("4 x 6-8 @ 75 % rst 2")
    page.locator(f"#row-{rows[1].pk}-more-open").click()
    page.locator("#keys-open").click()
    cell(page, rows[1], "cue").fill("Slow down")
    for width, scheme in ((1440, "light"), (1440, "dark"), (390, "light")):
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme)
        assert not broken_rules(page)
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0


def drag(page, source, target, where):
    """Drag by the browser's own events, to the upper or lower edge of the target."""
    height = page.locator(target).bounding_box()["height"]
    page.drag_and_drop(source, target, target_position={"x": 60, "y": 3 if where == "before" else height - 3})


def test_exercises_and_sessions_are_dragged_and_moved_by_keys(signed_in, session, rows):
    page = opened(signed_in, session)
    for row in rows:  # one row a line, so that the pointer meets what it is let go on
        expect(page.locator(f"#row-{row.pk} .grip")).to_be_visible()
    order = lambda: list(PlannedExercise.objects.order_by("position").values_list("pk", flat=True))  # noqa: E731
    a, b, c = (row.pk for row in rows)
    with answered(page, "/place/"):
        drag(page, f"#row-{c} .grip", f"#row-{a}", "before")
    assert order() == [c, a, b]
    cell(page, rows[0], "written").focus()
    with answered(page, "/place/"):
        page.keyboard.press("Shift+Alt+ArrowDown")
    assert order() == [c, b, a]
    expect(cell(page, rows[0], "written")).to_be_focused()
    page.locator(f"#open-{session.pk}").focus()
    with answered(page, "/place/"):
        page.keyboard.press("Shift+Alt+ArrowDown")
    session.refresh_from_db()
    assert (session.week_no, session.day) == (1, 1)
    expect(page.locator(f"#day-1-1 #open-{session.pk}")).to_be_focused()  # drawn, not only answered
    page.keyboard.press("Control+c")
    page.keyboard.press("ArrowRight")
    with answered(page, "/place/"):
        page.keyboard.press("Control+v")
    copy = PlannedSession.objects.exclude(pk=session.pk).get()
    assert (copy.week_no, copy.day, copy.exercises.count()) == (2, 1, 3)
    with answered(page, "/place/"):
        page.drag_and_drop(f"#s-{copy.pk}", "#grid tbody tr:nth-child(4) td:nth-child(4)")
    copy.refresh_from_db()
    assert (copy.week_no, copy.day) == (3, 3)
    page.locator(f"#open-{copy.pk}").focus()
    with answered(page, "/delete/"):
        page.keyboard.press("Delete")
    assert not PlannedSession.objects.filter(pk=copy.pk).exists()
    assert page.evaluate("document.activeElement !== document.body")


def test_the_focus_stays_on_an_empty_day_while_an_answer_arrives(signed_in, session, rows):
    """A copy is carried on by key before the move is answered: it lands on the day that had the focus."""
    page = opened(signed_in, session)
    with page.expect_request("**/place/"):  # a response would end the wait when the page has not drawn it yet
        page.route("**/place/", lambda route: (page.wait_for_timeout(500), route.continue_()))
        page.locator(f"#open-{session.pk}").focus()
        for key in ("Shift+Alt+ArrowDown", "Control+c", "ArrowRight"):
            page.keyboard.press(key)
        expect(page.locator("#day-2-0")).to_be_focused()
    expect(page.locator(f"#day-1-1 #open-{session.pk}")).to_be_visible()
    expect(page.locator("#day-2-0")).to_be_focused()
    page.unroute("**/place/")
    page.keyboard.press("Control+v")
    expect(page.locator("#day-2-0 .session")).to_be_visible()
    expect(page.locator("#day-2-0 h3 a")).to_be_focused()
    assert PlannedSession.objects.filter(week_no=2, day=0).count() == 1


def test_changes_faster_than_the_desk_answers_are_all_drawn(signed_in, session, rows):
    """Acts are made before the answer to an earlier one replaces the part they stand in: none is lost or doubled."""
    page = opened(signed_in, session)
    a, b, c = (row.pk for row in rows)
    page.evaluate(
        """([down, up, other]) => {
            document.getElementById(down).click();
            document.getElementById(up).click();
            const cell = document.getElementById(other);
            cell.value = "5 x 3 @ 85 %";
            cell.dispatchEvent(new Event("change", { bubbles: true }));
        }""",
        [f"row-{a}-down", f"row-{c}-up", f"row-{b}-written"],
    )
    expect(page.locator("#rows > tbody").nth(2)).to_have_id(f"row-{a}")
    page.wait_for_load_state("networkidle")
    assert list(PlannedExercise.objects.order_by("position").values_list("pk", flat=True)) == [b, c, a]
    shown = page.evaluate("[...document.querySelectorAll('#rows > tbody')].map((row) => Number(row.id.slice(4)))")
    assert shown == [b, c, a]
    expect(cell(page, rows[1], "written")).to_have_value("5 x 3 @ 85 %, rest 2 min")
    assert PlannedExercise.objects.get(pk=b).scheme["sets"] == 5
    expect(page.locator(".conflict")).to_have_count(0)
    cell(page, rows[0], "written").focus()
    page.keyboard.press("Shift+Alt+ArrowUp")
    page.keyboard.press("Shift+Alt+ArrowUp")
    expect(page.locator("#rows > tbody").first).to_have_id(f"row-{a}")
    page.wait_for_load_state("networkidle")
    assert list(PlannedExercise.objects.order_by("position").values_list("pk", flat=True)) == [a, b, c]


def test_a_row_deleted_by_somebody_else_and_a_fault_of_the_desk_keep_what_was_typed(
    signed_in, session, rows, monkeypatch
):
    page = opened(signed_in, session)
    forgive(signed_in)
    PlannedExercise.objects.filter(pk=rows[0].pk).delete()
    cell(page, rows[0], "written").focus()
    page.keyboard.type("5 x 3 @ 85 %")
    with answered(page):
        page.keyboard.press("Enter")
    expect(page.locator("#desk-message")).to_contain_text("Not found: it was removed meanwhile")
    expect(cell(page, rows[0], "written")).to_have_value("5 x 3 @ 85 %")

    def fail(**kwargs):
        raise RuntimeError("on purpose")

    monkeypatch.setattr("programs.services.edit_exercise", fail)
    cell(page, rows[1], "written").focus()
    page.keyboard.type("2 x 12 @ 60 %")
    with answered(page):
        page.keyboard.press("Enter")
    expect(page.locator("#desk-message")).to_contain_text("The desk failed on this (error 500)")
    expect(cell(page, rows[1], "written")).to_have_value("2 x 12 @ 60 %")
    expect(page.locator("#save-status")).to_have_text("Not saved")


def test_a_remedy_and_another_week_are_drawn_in_place(signed_in, session, rows):
    page = opened(signed_in, session)
    page.evaluate("window.stayed = true")
    remedy = page.locator("#effects .remedies button").first
    remedy.focus()
    with answered(page, "/flags/apply/"):
        page.keyboard.press("Enter")
    expect(page.locator("#messages")).to_contain_text("Applied: ")
    expect(page.locator("#changed")).not_to_be_empty()
    assert focused(page) not in ("", "work", "page-heading")
    page.locator("#week-2").click()
    expect(page.locator("#effects h2").first).to_contain_text("week 2")
    assert page.evaluate("window.stayed")
    assert "week=2" in page.url


def test_a_pasted_session_adds_a_line_each_until_one_is_refused(signed_in, session):
    page = opened(signed_in, session)
    forgive(signed_in)
    page.locator("#add-exercise").focus()
    paste(page, "Bench press 4x6-8 @ 75%\n\nBack squat\t3x5 @ 80%\nNo such thing 3x8\nPlank 3 x 30 s\n")
    expect(page.locator("#add-exercise-error")).to_contain_text("No exercise is called 'No such thing'")
    expect(page.locator("#add-exercise")).to_have_value("No such thing 3x8")
    expect(page.locator("#paste-left")).to_contain_text("Plank 3 x 30 s")
    assert [row.exercise.name for row in PlannedExercise.objects.order_by("position")] == ["Bench press", "Back squat"]
    cell(page, PlannedExercise.objects.latest("id"), "written").focus()
    with answered(page, "/undo/"):
        page.keyboard.press("Control+z")
    expect(page.locator("#rows > tbody")).to_have_count(1)
    assert PlannedExercise.objects.get().exercise.name == "Bench press"
    assert focused(page) not in ("", "work", "page-heading")
    with answered(page, "/redo/"):
        page.keyboard.press("Control+Shift+z")
    expect(page.locator("#rows > tbody")).to_have_count(2)


def test_the_list_of_schemes_opens_by_enter_and_a_swap_neither_ends_an_edit_nor_closes_more(signed_in, session, rows):
    page = opened(signed_in, session)
    cell(page, rows[0], "kind").focus()
    page.keyboard.press("Enter")
    assert cell(page, rows[0], "kind").get_attribute("data-editing") is not None
    page.keyboard.press("Escape")
    page.keyboard.press("Escape")
    page.keyboard.press("ArrowRight")
    expect(cell(page, rows[0], "sets")).to_be_focused()
    page.locator(f"#row-{rows[0].pk}-more-open").click()
    cell(page, rows[0], "sets").focus()
    page.keyboard.type("4")
    with answered(page):
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.type("7")  # typed while the answer to the row's first change is on its way
    expect(cell(page, rows[0], "sets")).to_have_value("4")
    page.keyboard.type("2")
    expect(cell(page, rows[0], "load_value")).to_have_value("72")
    expect(page.locator(f"#row-{rows[0].pk}-more")).to_have_attribute("open", "")
    with answered(page):
        page.keyboard.press("Enter")
    expect(cell(page, rows[0], "written")).to_have_value("4 x 8 @ 72 %, rest 2 min")
