"""Places and their equipment: what can be made there, what is refused, and two tabs on one rack."""

from datetime import datetime
from typing import Any

import pytest
from django.test import Client as Browser

from clients import selectors, services
from clients.mapping import equipment_value, place_equipment
from clients.models import Equipment, Place
from clients.starting_sets import STARTING_SETS, starting_set
from coachdesk.engine import Barbell, BodyWeight, Dumbbells, FixedBars, Ordinal, Stack, makeable
from coachdesk.practice.models import Membership
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory


@pytest.fixture
def barn(desk: Membership) -> Place:
    return PlaceFactory(practice=desk.practice, name="Barn")


TYPED: dict[str, tuple[dict[str, str], Any]] = {
    "barbell": (
        {"unit": "kg", "bar": "20", "plates": "25x4, 2,5x2", "collars": ""},
        Barbell("Thing", "kg", 20_000, ((25_000, 4), (2_500, 2))),
    ),
    "dumbbell": ({"unit": "lb", "loads": "5-15 by 5"}, Dumbbells("Thing", "lb", (5_000, 10_000, 15_000))),
    "stack": (
        {"unit": "kg", "pins": "5; 10; 15", "add_ons": "2,5"},
        Stack("Thing", "kg", (5_000, 10_000, 15_000), (2_500,)),
    ),
    "fixed_bar": ({"unit": "kg", "loads": "10-20 by 10"}, FixedBars("Thing", "kg", (10_000, 20_000))),
    "bodyweight": ({"unit": "kg", "added": "5; 10"}, BodyWeight("Thing", "kg", (0, 5_000, 10_000))),
    "band": ({"steps": "light, strong"}, Ordinal("Thing", ("light", "strong"))),
}


@pytest.mark.parametrize("kind", TYPED)
def test_each_kind_is_added_shown_and_read_back_into_its_form(barn: Place, as_coach: Browser, kind: str) -> None:
    typed, value = TYPED[kind]
    answer = as_coach.post(f"/places/{barn.pk}/equipment/{kind}/new/", {"name": "Thing", **typed})
    assert answer.status_code == 302
    row = Equipment.objects.get()
    assert equipment_value(row) == value
    assert "Thing" in as_coach.get(f"/places/{barn.pk}/").content.decode()
    form = as_coach.get(f"/equipment/{row.pk}/edit/").context["form"]
    again = {name: form[name].value() for name in form.fields}
    assert as_coach.post(f"/equipment/{row.pk}/edit/", again).status_code == 302
    row.refresh_from_db()
    assert (equipment_value(row), row.version) == (value, 1)


@pytest.mark.parametrize(
    ("kind", "field", "value"),
    [
        ("barbell", "bar", ""),
        ("barbell", "bar", "0"),
        ("barbell", "bar", "-20"),
        ("barbell", "bar", "NaN"),
        ("barbell", "bar", "2001"),
        ("barbell", "plates", "25"),
        ("barbell", "plates", "4x25"),
        ("barbell", "collars", "heavy"),
        ("dumbbell", "loads", ""),
        ("dumbbell", "loads", "0"),
        ("dumbbell", "loads", "10-1 by 1"),
        ("dumbbell", "unit", "stone"),
        ("dumbbell", "name", ""),
        ("dumbbell", "name", "x" * 81),
        ("dumbbell", "name", "a" + "\u0335" * 10_000),
        ("stack", "pins", "1e400"),
        ("stack", "add_ons", "1; 2; 3; 4; 5; 6; 7; 8"),
        ("fixed_bar", "loads", "\x00"),
        ("bodyweight", "added", "some"),
        ("band", "steps", ""),
    ],
)
def test_a_bad_value_is_refused_and_everything_typed_stays(
    barn: Place, as_coach: Browser, kind: str, field: str, value: str
) -> None:
    typed = {"name": "Thing", **TYPED[kind][0], field: value}
    answer = as_coach.post(f"/places/{barn.pk}/equipment/{kind}/new/", typed)
    assert answer.status_code == 422
    form = answer.context["form"]
    assert field in form.errors or form.non_field_errors()
    assert {name: form[name].value() for name in typed} == typed
    assert not Equipment.objects.exists()


def test_more_loads_than_can_be_counted_are_refused(barn: Place, as_coach: Browser) -> None:
    plates = "; ".join(f"{2**n / 1000}x20" for n in range(18))
    typed = {"name": "Thing", "unit": "kg", "bar": "20", "plates": plates}
    answer = as_coach.post(f"/places/{barn.pk}/equipment/barbell/new/", typed)
    assert answer.status_code == 422


def test_the_page_says_first_last_number_and_smallest_step(barn: Place) -> None:
    """20 kg bar with pairs of 25, 20, 10, 5 and 2.5 kg: every 5 kg to 270 (arithmetic)."""
    EquipmentFactory(place=barn)
    EquipmentFactory(place=barn, bands=True)
    bands, bar = selectors.equipment_rows(barn)
    assert bar.made is not None
    assert (bar.made.first, bar.made.last, bar.made.step) == (20_000, 270_000, 5_000)
    assert bar.made.count == 51
    assert bar.words == "bar 20 kg, plates 25x4, 20x4, 10x4, 5x4, 2.5x4"
    assert (bands.made, bands.words) == (None, "light, medium, strong")


def test_a_broken_row_says_so_and_breaks_no_page(barn: Place, as_coach: Browser) -> None:
    EquipmentFactory(place=barn, spec={"v": 1, "kind": "dumbbell", "unit": "kg", "loads": [-1]})
    page = as_coach.get(f"/places/{barn.pk}/").content.decode()
    assert "it should be" in page


@pytest.mark.parametrize("key", [key for key, _words in STARTING_SETS if key])
def test_a_place_can_start_with_a_whole_set(desk: Membership, as_coach: Browser, key: str) -> None:
    assert as_coach.post("/places/new/", {"name": "Loft", "starting": key}).status_code == 302
    place = Place.objects.get()
    assert place.equipment.count() == len(starting_set(key))
    for value in (one for kind in place_equipment(place).values() for one in kind):
        assert isinstance(value, Ordinal) or makeable(value)
    as_coach.post(f"/places/{place.pk}/equipment/start/", {"starting": key})
    assert place.equipment.count() == len(starting_set(key))
    assert as_coach.post(f"/places/{place.pk}/equipment/start/", {"starting": "palace"}).status_code == 404


@pytest.mark.parametrize("name", ["", "barn", "  BARN ", "x" * 81, "a" + "\u0335" * 40])
def test_a_bad_or_taken_place_name_is_refused(barn: Place, as_coach: Browser, name: str) -> None:
    assert as_coach.post("/places/new/", {"name": name}).status_code == 422
    other = PlaceFactory(practice=barn.practice, name="Loft")
    assert as_coach.post(f"/places/{other.pk}/edit/", {"name": name, "version": 1}).status_code == 422
    assert Place.objects.count() == 2


def test_two_places_of_two_practices_may_share_a_name(barn: Place, as_stranger: Browser) -> None:
    assert as_stranger.post("/places/new/", {"name": "Barn"}).status_code == 302


def test_renaming_from_two_tabs(barn: Place, as_coach: Browser) -> None:
    address = f"/places/{barn.pk}/edit/"
    assert as_coach.post(address, {"name": "Barn one", "version": 1}).status_code == 302
    answer = as_coach.post(address, {"name": "Barn two", "version": 1})
    assert answer.status_code == 409
    assert "saved now: Barn one" in answer.content.decode()
    assert as_coach.post(address, answer.context["form"].data).status_code == 302
    barn.refresh_from_db()
    assert barn.name == "Barn two"


def edit(browser: Browser, row: Equipment, **fields: str) -> Any:
    typed = {"name": "Dumbbells", "unit": "kg", "loads": "2-32 by 2", "version": "1", **fields}
    return browser.post(f"/equipment/{row.pk}/edit/", typed)


def test_two_tabs_renaming_and_changing_loads_merge(barn: Place, as_coach: Browser) -> None:
    row = EquipmentFactory(place=barn, dumbbells=True)
    edit(as_coach, row, name="Old rack")
    assert edit(as_coach, row, loads="2-40 by 2").status_code == 302
    row.refresh_from_db()
    assert (row.name, equipment_value(row).loads[-1]) == ("Old rack", 40_000)


def test_two_tabs_on_the_loads_get_both_and_keep_the_typed_text(barn: Place, as_coach: Browser) -> None:
    row = EquipmentFactory(place=barn, dumbbells=True)
    edit(as_coach, row, name="Old rack", loads="2-36 by 2")
    answer = edit(as_coach, row, loads="2-40 by 2")
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "saved now: 2-36 by 2" in page
    assert "you typed: 2-40 by 2" in page
    form = answer.context["form"]
    assert (form["loads"].value(), form["name"].value()) == ("2-40 by 2", "Old rack")
    assert as_coach.post(f"/equipment/{row.pk}/edit/", form.data).status_code == 302
    row.refresh_from_db()
    assert (row.name, equipment_value(row).loads[-1]) == ("Old rack", 40_000)


def test_an_edit_without_version_is_a_form_error(barn: Place, as_coach: Browser) -> None:
    row = EquipmentFactory(place=barn, dumbbells=True)
    assert edit(as_coach, row, version="").status_code == 422


def test_removing_is_undone_by_the_tape_alone(barn: Place, as_coach: Browser) -> None:
    row = EquipmentFactory(place=barn)
    assert as_coach.get(f"/equipment/{row.pk}/remove/").status_code == 405
    assert as_coach.post(f"/equipment/{row.pk}/remove/").status_code == 302
    assert not Equipment.objects.exists()
    assert as_coach.post(f"/equipment/{row.pk}/remove/").status_code == 404


def test_a_client_keeps_training_when_their_place_goes(desk: Membership, barn: Place, now: datetime) -> None:
    client = ClientFactory(coach=desk, place=barn)
    services.rename_place(by=desk, place=barn, version=1, now=now, name="Loft")
    client.refresh_from_db()
    assert client.place is not None
    assert client.place.name == "Loft"


@pytest.mark.parametrize("places", [1, 20])
def test_the_number_of_queries_does_not_grow(
    desk: Membership, as_coach: Browser, places: int, django_assert_max_num_queries
) -> None:
    for _ in range(places):
        EquipmentFactory(place=PlaceFactory(practice=desk.practice))
    with django_assert_max_num_queries(6):
        assert as_coach.get("/places/").status_code == 200
