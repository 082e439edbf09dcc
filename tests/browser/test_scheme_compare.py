"""Comparing schemes in a browser: a change shows at once, the keyboard stays, and the chosen one lands in the plan."""

import pytest

from tests.factories.whole import one_of_everything


@pytest.fixture
def planned(desk, now) -> int:
    """A planned exercise of a client whose maximum is known."""
    return one_of_everything(desk, now)["planned"][0]


def focused(page) -> str:
    return page.evaluate("document.activeElement.id")


def test_a_changed_parameter_shows_at_once_and_the_keyboard_stays(signed_in, planned):
    page = signed_in.go(f"/compare/?planned={planned}")
    page.fill("#b-ladder", "85/70")
    page.press("#b-ladder", "Tab")
    page.wait_for_selector("#scheme-b figcaption:has-text('85/70 % to failure')")
    assert focused(page) == "remove-b"
    assert "b-ladder=85%2F70" in page.url
    page.focus("#add-scheme")
    page.keyboard.press("Enter")
    page.wait_for_selector("#scheme-d")
    assert focused(page) == "d-kind"


def test_use_this_opens_the_plan_with_the_scheme_in_it(signed_in, planned):
    page = signed_in.go(f"/compare/?planned={planned}")
    page.click("#use-b")
    page.wait_for_selector(f"#row-{planned}")
    assert page.input_value(f"#row-{planned}-kind") == "drop_set"
    assert "to failure" in page.text_content("#undo")


def test_the_chosen_muscle_of_the_fatigue_picture_outlasts_an_edit(signed_in, desk, now):
    ids = one_of_everything(desk, now)
    page = signed_in.go(f"/programs/{ids['program'][0]}/?session={ids['session'][0]}")
    page.focus("#fatigue-muscle")
    page.select_option("#fatigue-muscle", "triceps")
    page.wait_for_selector("#fatigue figcaption:has-text('triceps')")
    assert focused(page) == "fatigue-muscle"
    page.fill(f"#row-{ids['planned'][0]}-load_value", "60")
    page.press(f"#row-{ids['planned'][0]}-load_value", "Enter")
    page.wait_for_selector("#save-status:has-text('Saved')")
    assert page.input_value("#fatigue-muscle") == "triceps"
