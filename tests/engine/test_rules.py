"""House rules: their published parts equal the rows they come from, and every default names a source."""

import pytest

from coachdesk.engine import CONSTANTS, ClientTraits, EngineError, Rules, band_for, constants
from tests.engine import facts


def test_every_default_names_its_unit_source_and_kind_of_basis():
    kinds = {"published", "secondary", "from memory", "computed", "fitted", "model", "trade"}
    assert {constant.basis for constant in CONSTANTS} == kinds
    assert all(constant.source and constant.unit for constant in CONSTANTS)
    assert len({constant.name for constant in CONSTANTS}) == len(CONSTANTS)


def test_the_novice_band_starts_at_the_published_minimum():
    row = facts.of("volume_dose_response", study="Iversen 2021")[0]
    assert Rules().band_novice[0] == float(row["value"])


def test_the_advanced_band_ends_where_the_published_suggestion_ends():
    row = facts.of("volume_dose_response", measure="suggested weekly sets per muscle")[0]
    assert row["value"] == "12-20"
    assert Rules().band_advanced[1] == 20


def test_the_indirect_share_is_the_published_one():
    row = facts.of("volume_dose_response", measure="indirect set weight (fractional)")[0]
    assert constants.value("indirect_share") == float(row["value"])


@pytest.mark.parametrize(
    ("client", "band"),
    [
        (ClientTraits("novice"), (4, 10)),
        (ClientTraits("intermediate"), (6, 16)),
        (ClientTraits("advanced"), (10, 20)),
        (ClientTraits("novice", age=70), (2, 8)),
        (ClientTraits("advanced", goal="health"), (2, 8)),
        (ClientTraits("advanced", marks=(("chest", "hold"),)), (2, 6)),
    ],
)
def test_bands_follow_goal_training_age_and_marks(client, band):
    assert band_for(client, "chest", Rules())[0] == band


def test_a_muscle_in_rehab_is_the_coach_s():
    assert band_for(ClientTraits(marks=(("chest", "rehab"),)), "chest", Rules()) is None


@pytest.mark.parametrize(
    "wrong", [{"setup_s": -1}, {"band_hold": (6, 2)}, {"curve": "guess"}, {"half_life_h": 0}, {"warmup": ((2, 5),)}]
)
def test_rules_out_of_range_are_refused(wrong):
    with pytest.raises(EngineError):
        Rules(**wrong)
