"""RIR and RPE against the published scale."""

import pytest

from coachdesk.engine import EngineError, rir_for_rpe, rpe_for_rir
from tests.engine import facts


@pytest.mark.parametrize("row", facts.rows("rir_rpe_scale"), ids=lambda r: r["rpe"])
def test_rir_for_rpe_follows_the_scale(row):
    assert rir_for_rpe(float(row["rpe"])) == (float(row["rir_low"]), float(row["rir_high"]))


@pytest.mark.parametrize("row", facts.rows("rir_rpe_scale"), ids=lambda r: r["rpe"])
def test_rpe_for_rir_lands_in_a_row_that_allows_it(row):
    middle = (float(row["rir_low"]) + float(row["rir_high"])) / 2
    low, high = rir_for_rpe(rpe_for_rir(middle))
    assert low <= middle <= high


def test_more_in_reserve_never_rates_higher():
    ratings = [rpe_for_rir(k / 4) for k in range(25)]
    assert ratings == sorted(ratings, reverse=True)


@pytest.mark.parametrize("bad", [4.9, 10.5, "8", None])
def test_ratings_off_the_scale_are_refused(bad):
    with pytest.raises(EngineError, match="RPE"):
        rir_for_rpe(bad)
