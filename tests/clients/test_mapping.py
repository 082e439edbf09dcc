"""What the engine is told of a client and a place."""

from datetime import date, datetime

import pytest

from clients import mapping, selectors
from coachdesk.engine import DEFAULT, makeable, plates_per_side
from tests.factories.clients import (
    ClientFactory,
    EquipmentFactory,
    HouseRuleFactory,
    MarkedMuscleFactory,
    PlaceFactory,
    PrecautionFactory,
    ScreeningFactory,
)

pytestmark = pytest.mark.django_db
ON = date(2026, 11, 24)


def test_traits_say_what_the_rows_say() -> None:
    client = ClientFactory(
        born_on=date(1961, 11, 25), level="novice", goal="health", training_since_on=date(2026, 10, 27)
    )
    MarkedMuscleFactory(client=client, muscle="quads", aim="grow")
    MarkedMuscleFactory(client=client, muscle="chest", aim="rehab")
    ScreeningFactory(client=client)
    traits = mapping.client_traits(client, ON)
    assert (traits.level, traits.goal, traits.age, traits.cautious) == ("novice", "health", 64, False)
    assert (traits.screening, traits.weeks_trained) == ("ok", 4)
    assert traits.marks == (("chest", "rehab"), ("quads", "grow"))


@pytest.mark.parametrize(
    ("born", "age"),
    [
        (date(1961, 11, 24), 65),
        (date(1961, 11, 25), 64),
        (date(2000, 2, 29), 26),
        (None, None),
        (date(2026, 12, 1), None),
    ],
)
def test_age_is_in_whole_years(born: date | None, age: int | None) -> None:
    assert mapping.age_on(ClientFactory(born_on=born), ON) == age


def test_any_age_can_be_told_to_the_engine() -> None:
    for born in (date(1900, 1, 1), date(2026, 11, 24)):
        assert mapping.client_traits(ClientFactory(born_on=born), ON).age is None


def test_screening_is_missing_ok_expired_or_waiting_for_a_clinician() -> None:
    client = ClientFactory()
    assert selectors.screening_state(client, ON) == "missing"
    ScreeningFactory(client=client, asked_on=date(2025, 1, 1), expires_on=date(2026, 11, 24))
    assert selectors.screening_state(client, ON) == "ok"
    assert selectors.screening_state(client, date(2026, 11, 25)) == "expired"
    ScreeningFactory(client=client, asked_on=date(2026, 1, 1), expires_on=date(2027, 1, 1), refer=True)
    assert selectors.screening_state(client, ON) == "missing"
    assert selectors.screening_state(client, date(2025, 12, 31)) == "ok"
    ScreeningFactory(client=client, asked_on=date(2026, 1, 1), outcome="cleared", expires_on=date(2026, 12, 1))
    assert selectors.screening_state(client, ON) == "ok"


def test_a_precaution_is_in_force_from_its_first_day_up_to_its_end() -> None:
    client = ClientFactory()
    row = PrecautionFactory(client=client, since_on=date(2026, 11, 1), until_on=date(2026, 11, 24))
    assert selectors.precautions_on(client, date(2026, 10, 31)) == []
    assert selectors.precautions_on(client, date(2026, 11, 1)) == [row]
    assert selectors.precautions_on(client, date(2026, 11, 23)) == [row]
    assert selectors.precautions_on(client, ON) == []
    assert mapping.client_traits(client, date(2026, 11, 23)).cautious is True


def test_traits_and_rules_of_many_clients_take_one_query(django_assert_num_queries) -> None:
    clients = [ClientFactory() for _ in range(12)]
    for client in clients:
        PrecautionFactory(client=client)
    selectors.with_traits([ClientFactory()])  # Django asks SQLite once a process whether it knows JSON
    with django_assert_num_queries(1):
        found = [mapping.client_traits(client, ON) for client in selectors.with_traits(clients)]
        assert {mapping.house_rules(client) for client in clients[:1]} == {DEFAULT}
    assert all(traits.cautious for traits in found)


def test_a_places_equipment_comes_by_kind_and_named_as_the_row_is() -> None:
    place = PlaceFactory()
    bar = EquipmentFactory(place=place)
    EquipmentFactory(place=place, dumbbells=True)
    bar.name = "Old bar"
    bar.save()
    kit = mapping.place_equipment(place)
    assert sorted(kit) == ["barbell", "dumbbell"]
    assert kit["barbell"][0].name == "Old bar"
    # 20 kg bar and pairs of 25, 20, 10, 5 and 2.5 kg (common practice, no source): 100 kg is 40 a side
    assert plates_per_side(kit["barbell"][0], 100_000) == (20_000, 20_000)
    assert makeable(kit["dumbbell"][0])[:3] == (2_000, 4_000, 6_000)
    assert mapping.place_equipment(None) == {}


@pytest.mark.parametrize(
    ("zone", "day"),
    [
        ("UTC", 24),
        ("Pacific/Auckland", 25),
        ("Pacific/Honolulu", 24),
        ("Nowhere/Here", 24),
        ("../etc/passwd", 24),
        ("", 24),
    ],
)
def test_today_is_the_date_where_the_client_is(zone: str, day: int, now: datetime) -> None:
    assert selectors.today_for(ClientFactory(time_zone=zone), now).day == day


def test_rules_come_from_the_desk_then_the_practice_then_the_client() -> None:
    client = ClientFactory()
    other = ClientFactory(coach=client.coach)
    HouseRuleFactory(practice=client.practice, name="hours_apart", value=60)
    HouseRuleFactory(practice=client.practice, name="band_novice", value=[3, 9])
    HouseRuleFactory(practice=client.practice, client=client, name="hours_apart", value=72)
    assert mapping.house_rules(client.practice).hours_apart == 60
    assert mapping.house_rules(other).hours_apart == 60
    mine = mapping.house_rules(client)
    assert (mine.hours_apart, mine.band_novice, mine.curve) == (72, (3, 9), "handbook")
    assert mapping.house_rules(ClientFactory()) is DEFAULT


@pytest.mark.parametrize("value", ["many", [9, 3], {"low": 2}, [], -1, [[1]], True])
def test_a_stored_rule_the_engine_refuses_is_left_out(value) -> None:
    client = ClientFactory()
    HouseRuleFactory(practice=client.practice, client=client, name="hours_apart", value=value)
    HouseRuleFactory(practice=client.practice, client=client, name="not_a_rule", value=1)
    HouseRuleFactory(practice=client.practice, client=client, name="older_age", value=60)
    found = mapping.house_rules(client)
    assert (found.hours_apart, found.older_age) == (DEFAULT.hours_apart, 60)
