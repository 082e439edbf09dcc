"""Editing a client, also from two tabs at once: nobody is silently overwritten, nothing typed is lost."""

from typing import Any

import pytest
from django.test import Client as Browser

from clients.models import Client
from coachdesk.practice.models import Membership
from tests.factories.clients import ClientFactory, PlaceFactory

GOOD = {
    "name": "Rosa", "goal": "size", "level": "intermediate", "days_per_week": "3", "minutes_per_session": "60",
    "unit": "kg", "time_zone": "UTC", "notes": "",
}  # fmt: skip


@pytest.fixture
def rosa(desk: Membership) -> Client:
    return ClientFactory(coach=desk, name="Rosa")


def edit(browser: Browser, client: Client, version: int | str, **fields: Any) -> Any:
    return browser.post(f"/clients/{client.pk}/edit/", {**GOOD, "version": version, **fields})


def test_the_form_carries_the_version_it_shows(rosa: Client, as_coach: Browser) -> None:
    page = as_coach.get(f"/clients/{rosa.pk}/edit/").content.decode()
    assert '<input type="hidden" name="version" value="1"' in page


def test_a_change_is_saved(rosa: Client, as_coach: Browser) -> None:
    answer = edit(as_coach, rosa, 1, name="Rosa Böhm")
    assert (answer.status_code, answer["Location"]) == (302, f"/clients/{rosa.pk}/")
    rosa.refresh_from_db()
    assert (rosa.name, rosa.folded, rosa.version) == ("Rosa Böhm", "rosa bohm", 2)


@pytest.mark.parametrize("version", ["", "0", "-1", "x", "1.5", "9" * 30, "NaN"])
def test_a_missing_or_nonsense_version_is_a_form_error(rosa: Client, as_coach: Browser, version: str) -> None:
    answer = edit(as_coach, rosa, version, name="Other")
    assert answer.status_code == 422
    assert "lost track of the version" in answer.content.decode()
    assert answer.context["form"]["name"].value() == "Other"
    rosa.refresh_from_db()
    assert rosa.name == "Rosa"


def test_two_tabs_on_different_fields_both_stand(rosa: Client, as_coach: Browser) -> None:
    edit(as_coach, rosa, 1, notes="From tab one")
    assert edit(as_coach, rosa, 1, days_per_week="5").status_code == 302
    rosa.refresh_from_db()
    assert (rosa.notes, rosa.days_per_week) == ("From tab one", 5)


def test_two_tabs_on_one_field_get_both_values_and_keep_the_typed_text(rosa: Client, as_coach: Browser) -> None:
    edit(as_coach, rosa, 1, notes="From tab one", days_per_week="4")
    answer = edit(as_coach, rosa, 1, notes="From tab two")
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "saved now: From tab one" in page
    assert "you typed: From tab two" in page
    form = answer.context["form"]
    # my text stays, their independent change is taken over, and the next save knows what it replaces
    assert (form["notes"].value(), form["days_per_week"].value(), form["version"].value()) == ("From tab two", "4", "2")
    rosa.refresh_from_db()
    assert rosa.notes == "From tab one"


def test_saving_again_after_the_clash_keeps_mine(rosa: Client, as_coach: Browser) -> None:
    edit(as_coach, rosa, 1, notes="From tab one", days_per_week="4")
    form = edit(as_coach, rosa, 1, notes="From tab two").context["form"]
    assert as_coach.post(f"/clients/{rosa.pk}/edit/", form.data).status_code == 302
    rosa.refresh_from_db()
    assert (rosa.notes, rosa.days_per_week) == ("From tab two", 4)


def test_choosing_theirs_after_the_clash_keeps_theirs_and_saves_the_rest(rosa: Client, as_coach: Browser) -> None:
    edit(as_coach, rosa, 1, notes="From tab one")
    form = edit(as_coach, rosa, 1, notes="From tab two", minutes_per_session="45").context["form"]
    assert as_coach.post(f"/clients/{rosa.pk}/edit/", {**form.data, "take": ["notes"]}).status_code == 302
    rosa.refresh_from_db()
    assert (rosa.notes, rosa.minutes_per_session) == ("From tab one", 45)


def test_clashing_choices_are_shown_in_words(rosa: Client, desk: Membership, as_coach: Browser) -> None:
    here, there = PlaceFactory(practice=desk.practice, name="Barn"), PlaceFactory(practice=desk.practice, name="Loft")
    edit(as_coach, rosa, 1, place=here.pk, goal="rehab")
    page = edit(as_coach, rosa, 1, place=there.pk, goal="health").content.decode()
    assert "saved now: Barn" in page
    assert "you typed: Loft" in page
    assert "saved now: return from injury" in page


def test_a_bad_value_on_a_stale_page_is_a_form_error_first(rosa: Client, as_coach: Browser) -> None:
    edit(as_coach, rosa, 1, notes="From tab one")
    answer = edit(as_coach, rosa, 1, notes="From tab two", days_per_week="0")
    assert answer.status_code == 422
    assert answer.context["form"]["notes"].value() == "From tab two"


def test_fields_that_are_not_on_the_form_cannot_be_set(rosa: Client, as_coach: Browser, stranger: Membership) -> None:
    edit(as_coach, rosa, 1, practice=stranger.practice_id, coach=stranger.pk, archived_on="2020-01-01", folded="x")
    rosa.refresh_from_db()
    assert (rosa.coach.user.name, rosa.archived_on, rosa.folded) == ("Ana Reis", None, "rosa")


def test_the_owner_hands_a_client_over_and_the_coach_no_longer_sees_them(
    rosa: Client, owner: Membership, as_owner: Browser, as_coach: Browser
) -> None:
    assert edit(as_owner, rosa, 1, coach=owner.pk).status_code == 302
    assert as_coach.get(f"/clients/{rosa.pk}/").status_code == 404
