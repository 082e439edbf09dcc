"""A client's body mass: asked in their unit, optional, kept with its day; and assistance at a place."""

from datetime import date
from typing import Any

import pytest
from django.test import Client as Browser

from clients import selectors
from clients.mapping import client_traits, equipment_value
from clients.models import Client, Equipment, HealthConsent
from coachdesk.engine import makeable
from coachdesk.practice.models import Membership
from tests.clients.test_client_new import GOOD
from tests.factories.clients import ClientFactory, PlaceFactory

TODAY = date(2026, 11, 24)


def new(browser: Browser, **fields: str) -> Any:
    """The profile of a client who has just agreed to health notes, saved with these fields."""
    browser.post("/clients/new/", {**GOOD, "unit": fields.get("unit", "kg")})
    client = Client.objects.latest("id")
    HealthConsent.objects.create(client=client, asked_on=TODAY, given=True, words="Asked.")
    return browser.post(f"/clients/{client.pk}/edit/", {**GOOD, "version": "1", **fields})


@pytest.mark.parametrize(
    ("unit", "typed", "mass"),
    [
        ("kg", "72,5", (72_500, "kg")),
        ("lb", "160", (160_000, "lb")),
        ("kg", "160 lb", (160_000, "lb")),
        ("lb", "72.5kg", (72_500, "kg")),
        ("kg", "  ", (None, "kg")),
    ],
)
def test_it_is_read_in_the_unit_of_loads_or_in_its_own(as_coach: Browser, unit: str, typed: str, mass: Any) -> None:
    assert new(as_coach, unit=unit, body_mass=typed).status_code == 302
    client = Client.objects.get()
    assert (client.body_mass, client.body_mass_unit) == mass
    assert client.body_mass_on == (TODAY if mass[0] else None)


def test_the_engine_gets_it_in_kilograms(as_coach: Browser) -> None:
    new(as_coach, unit="lb", body_mass="160", body_mass_on="2026-11-02")
    client = Client.objects.get()
    assert client.body_mass_on == date(2026, 11, 2)
    # 1 lb = 0.45359237 kg (NIST SP 811)
    assert client_traits(client, TODAY).body_kg == pytest.approx(160 * 0.45359237)
    assert client_traits(ClientFactory(), TODAY).body_kg is None
    page = as_coach.get(f"/clients/{client.pk}/").content.decode()
    assert "160 lb, Mon 2 Nov 2026" in page


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("body_mass", "heavy", "'heavy' is no body mass; write it in kg, from 20 to 350"),
        ("body_mass", "725", "725 kg cannot be a body mass here"),
        ("body_mass", "7.25", "7.25 kg cannot be a body mass here"),
        ("body_mass", "-72", "'-72' is no body mass"),
        ("body_mass", "72.5 st", "is no body mass"),
        ("body_mass", "\x00", ""),
        ("body_mass_on", "2026-11-25", "is no day to have measured on"),
        ("body_mass_on", "0001-01-01", "is no day to have measured on"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_nothing_is_lost(
    as_coach: Browser, field: str, value: str, said: str
) -> None:
    given = {"body_mass": "72.5", field: value, "notes": "Climbs."}
    answer = new(as_coach, **given)
    if not said:
        assert answer.status_code == 302
        return
    assert answer.status_code == 422
    assert any(said in error for error in answer.context["form"].errors[field])
    assert answer.context["form"]["notes"].value() == "Climbs."
    assert Client.objects.get().body_mass is None


def test_its_form_shows_the_unit_it_was_measured_in_so_that_another_unit_of_loads_changes_nothing(
    desk: Membership, as_coach: Browser
) -> None:
    rosa = ClientFactory(coach=desk, body_mass=72_500, body_mass_on=TODAY)
    form = as_coach.get(f"/clients/{rosa.pk}/edit/").context["form"]
    assert form["body_mass"].value() == "72.5 kg"
    data = {name: form[name].value() or "" for name in form.fields}
    assert as_coach.post(f"/clients/{rosa.pk}/edit/", {**data, "unit": "lb"}).status_code == 302
    rosa.refresh_from_db()
    assert (rosa.unit, rosa.body_mass, rosa.body_mass_unit) == ("lb", 72_500, "kg")


def test_a_page_without_the_field_leaves_it_alone_and_a_blank_one_takes_it_away(
    desk: Membership, as_coach: Browser
) -> None:
    rosa = ClientFactory(coach=desk, body_mass=72_500, body_mass_on=TODAY)
    as_coach.post(f"/clients/{rosa.pk}/edit/", {**GOOD, "version": 1, "body_mass_on": "2026-11-24"})
    rosa.refresh_from_db()
    assert rosa.body_mass == 72_500
    as_coach.post(f"/clients/{rosa.pk}/edit/", {**GOOD, "version": 2, "body_mass": "", "body_mass_on": "2026-11-24"})
    rosa.refresh_from_db()
    assert (rosa.body_mass, rosa.body_mass_on) == (None, None)


def test_two_people_who_weigh_the_same_client_see_both_values(desk: Membership, as_coach: Browser) -> None:
    rosa = ClientFactory(coach=desk, name="Rosa", body_mass=72_000, body_mass_on=TODAY)
    form = as_coach.get(f"/clients/{rosa.pk}/edit/").context["form"]
    data = {name: form[name].value() or "" for name in form.fields}
    assert as_coach.post(f"/clients/{rosa.pk}/edit/", {**data, "body_mass": "73"}).status_code == 302
    answer = as_coach.post(f"/clients/{rosa.pk}/edit/", {**data, "body_mass": "160 lb"})
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "saved now: 73" in page
    again = answer.context["form"]
    assert again["body_mass"].value() == "160 lb"
    theirs = {**again.data, "take": ["body_mass"]}
    assert as_coach.post(f"/clients/{rosa.pk}/edit/", theirs).status_code == 302
    rosa.refresh_from_db()
    assert (rosa.body_mass, rosa.body_mass_unit) == (73_000, "kg")


def test_assistance_is_typed_like_other_loads_and_shown_in_words(desk: Membership, as_coach: Browser) -> None:
    place = PlaceFactory(practice=desk.practice)
    typed = {"name": "Belt and machine", "unit": "kg", "added": "5-10 by 5", "assistance": "10-40 by 10"}
    assert as_coach.post(f"/places/{place.pk}/equipment/bodyweight/new/", typed).status_code == 302
    row = Equipment.objects.get()
    assert makeable(equipment_value(row)) == (-40_000, -30_000, -20_000, -10_000, 0, 5_000, 10_000)
    page = as_coach.get(f"/places/{place.pk}/").content.decode()
    assert "added 5; 10; assistance 10-40 by 10" in page
    assert "40 assistance" in page
    assert '<td class="num">-' not in page
    form = as_coach.get(f"/equipment/{row.pk}/edit/").context["form"]
    assert form["assistance"].value() == "10-40 by 10"


def test_bad_assistance_is_refused_at_its_field(desk: Membership, as_coach: Browser) -> None:
    place = PlaceFactory(practice=desk.practice)
    typed = {"name": "Machine", "unit": "kg", "added": "", "assistance": "-10"}
    answer = as_coach.post(f"/places/{place.pk}/equipment/bodyweight/new/", typed)
    assert answer.status_code == 422
    assert "assistance" in answer.context["form"].errors
    assert not Equipment.objects.exists()
    assert selectors.equipment_rows(place) == []
