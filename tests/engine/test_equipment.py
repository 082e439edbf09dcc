"""Equipment: every load that can be made, rounding, set-up, JSON."""

import itertools

import pytest

from coachdesk.engine import (
    Barbell,
    BodyWeight,
    EngineError,
    FixedBars,
    Ordinal,
    equipment_from_json,
    equipment_to_json,
    makeable,
    places_down,
    plates_per_side,
    round_load,
    setup_text,
)
from tests.engine import facts
from tests.engine.cast import BAR, DUMBBELLS, STACK


def competition_bar(body: str) -> Barbell:
    discs = [int(float(r["mass"]) * 1000) for r in facts.of("competition_equipment", body=body) if r["item"] == "disc"]
    bar = next(r for r in facts.of("competition_equipment", body=body) if r["item"] in ("bar men", "bar plus collars"))
    return Barbell(body, "kg", int(float(bar["mass"]) * 1000), tuple((disc, 8) for disc in discs))


def test_a_weightlifting_set_is_loaded_as_the_rule_book_allows():
    # IWF TCRR: bar 20 kg, collars 5 kg the pair, discs 25 to 0.5 kg; 1 kg is the smallest step of the bar
    collars = int(float(facts.of("competition_equipment", item="collar pair")[0]["mass"]) * 1000)
    bar = competition_bar("IWF")
    with_collars = Barbell("IWF", "kg", bar.bar, bar.plates, collars)
    loads = makeable(with_collars)
    assert loads[0] == 25000
    assert set(range(25000, 200001, 1000)) <= set(loads)
    assert plates_per_side(with_collars, 180000) == (25000, 25000, 25000, 2500)


def test_a_powerlifting_set_steps_by_its_smallest_pair():
    # IPF: bar with collars 25 kg, smallest disc 1.25 kg, so 2.5 kg steps; 50-kg discs are part of the row set
    bar = competition_bar("IPF")
    assert bar.bar == 25000
    assert all((load - 25000) % 2500 == 0 for load in makeable(bar))
    assert plates_per_side(bar, 227500) == (50000, 50000, 1250)


def test_a_forty_five_pound_bar_steps_by_five():
    # common practice, no source: 45-lb bar and 2.5-lb pairs
    row = facts.of("competition_equipment", item="lb barbell")[0]
    plates = tuple((int(p * 1000), 4) for p in (45, 25, 10, 5, 2.5))
    bar = Barbell("gym", "lb", int(float(row["mass"]) * 1000), plates)
    assert round_load(bar, 137000) == 135000
    assert setup_text(bar, 135000) == "45 a side"


def test_makeable_equals_every_choice_of_pairs():
    bar = Barbell("b", "kg", 15000, ((10000, 4), (5000, 3), (1250, 2)), 500)
    by_hand = {
        15500 + 2 * (a * 10000 + b * 5000 + c * 1250) for a, b, c in itertools.product(range(3), range(2), range(2))
    }
    assert makeable(bar) == tuple(sorted(by_hand))


def test_fewest_plates_are_used_even_where_taking_the_heaviest_first_fails():
    bar = Barbell("b", "kg", 20000, ((15000, 2), (10000, 4), (1250, 8)))
    assert plates_per_side(bar, 20000 + 2 * 20000) == (10000, 10000)


def test_an_odd_plate_is_no_pair():
    assert makeable(Barbell("b", "kg", 20000, ((10000, 3),))) == (20000, 40000)


@pytest.mark.parametrize(
    ("target", "direction", "made"),
    [
        (81000, "nearest", 80000),
        (81250, "nearest", 80000),
        (81251, "nearest", 82500),
        (82499, "down", 80000),
        (80001, "up", 82500),
        (80000, "up", 80000),
        (10000, "nearest", 20000),
        (10000, "down", None),
        (9e6, "nearest", 330000),
        (9e6, "up", None),
    ],
)
def test_round_load_with_pairs_down_to_1250_grams(target, direction, made):
    bar = Barbell("b", "kg", 20000, ((25000, 8), (20000, 2), (15000, 2), (10000, 2), (5000, 2), (2500, 2), (1250, 2)))
    heaviest = makeable(bar)[-1]
    assert round_load(bar, target, direction) == (heaviest if made == 330000 else made)


def test_places_down_the_rack():
    assert places_down(DUMBBELLS, 20000, 2) == 15000
    assert places_down(DUMBBELLS, 21000, 1) == 20000
    assert places_down(DUMBBELLS, 2500, 1) is None


@pytest.mark.parametrize(
    ("equipment", "load", "words"),
    [
        (BAR, 85000, "20 + 10 + 2.5 a side"),
        (BAR, 20000, "bar only"),
        (DUMBBELLS, 25000, "25 each hand"),
        (STACK, 45000, "pin 45"),
        (STACK, 47500, "pin 45 + 2.5"),
        (BodyWeight("belt", "kg", (5000,)), 5000, "body weight + 5"),
        (BodyWeight("belt", "kg"), 0, "body weight"),
        (FixedBars("bars", "kg", (30000,)), 30000, "30 bar"),
    ],
)
def test_setup_text_says_what_to_put_on(equipment, load, words):
    assert setup_text(equipment, load) == words


def test_plates_always_add_up_to_the_load():
    for load in makeable(BAR):
        assert BAR.bar + 2 * sum(plates_per_side(BAR, load)) == load


@pytest.mark.parametrize(
    "equipment",
    [
        BAR,
        DUMBBELLS,
        STACK,
        FixedBars("f", "lb", (30000,)),
        BodyWeight("w", "kg", (2500,)),
        Ordinal("bands", ("red", "blue")),
    ],
)
def test_equipment_round_trips_through_json(equipment):
    assert equipment_from_json(equipment_to_json(equipment)) == equipment


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({}, "version"),
        ({"v": 1, "kind": "rope"}, "equipment kind"),
        ({"v": 1, "kind": "dumbbell", "name": "a"}, "unit"),
        ({"v": 1, "kind": "dumbbell", "name": "a", "unit": "kg", "loads": []}, "dumbbells"),
        ({"v": 1, "kind": "barbell", "name": "a", "unit": "st", "bar": 1}, "unit"),
        ({"v": 1, "kind": "barbell", "name": "a", "unit": "kg", "bar": 1, "plates": [[1]]}, "plate"),
        ({"v": 1, "kind": "band", "name": "a", "steps": ["x"], "bar": 1}, "equipment field"),
        (None, "equipment"),
    ],
)
def test_wrong_json_names_the_field(data, message):
    with pytest.raises(EngineError, match=message):
        equipment_from_json(data)


def test_bands_make_no_loads():
    bands = Ordinal("bands", ("red", "blue"))
    assert makeable(bands) == ()
    assert round_load(bands, 5000) is None


def test_a_load_the_bar_cannot_make_is_refused():
    with pytest.raises(EngineError, match=r"81 kg.*rack bar"):
        plates_per_side(BAR, 81000)
