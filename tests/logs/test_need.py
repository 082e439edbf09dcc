"""The roster's score: what weighs more than what is common practice, no source."""

import pytest

from programs.logs.need import MISSED, STOP, Facts, need_of


def test_nothing_open_scores_nothing():
    assert need_of(Facts(planned=6, ends_in=40)).score == 0
    assert need_of(Facts(planned=6, ends_in=40)).words == "Nothing open"


ORDER = [
    Facts(stops=("Screening is missing.",)),
    Facts(has_program=False),
    Facts(falling=("Bench press",)),
    Facts(missed=1, planned=6),
    Facts(checks=("Chest is above its band.",)),
    Facts(ends_in=13),
    Facts(),
]


def test_reasons_that_are_sentences_stand_on_one_line():
    found = need_of(Facts(stops=("Chest: 25 sets; the band ends at 20.",), missed=1, planned=4))
    assert found.words == "1 stop: Chest: 25 sets; the band ends at 20; Missed 1 of 4 sessions in 14 days"


def test_the_order_of_single_reasons():
    scores = [need_of(facts).score for facts in ORDER]
    assert scores == sorted(scores, reverse=True)
    assert len(set(scores)) == len(scores)


def test_reasons_stand_by_weight_and_say_their_numbers():
    need = need_of(Facts(stops=("Screening is missing.",), missed=3, planned=6, ends_in=5, no_maximum=2))
    assert need.reasons == (
        "1 stop: Screening is missing.", "Missed 3 of 6 sessions in 14 days", "Programme ends in 5 days",
        "No maximum known for 2 exercises",
    )  # fmt: skip
    assert need.score == STOP + 3 * MISSED + 30 + 10


@pytest.mark.parametrize(("ends_in", "words"), [(0, "today"), (1, "in 1 day"), (14, "in 14 days")])
def test_the_end_in_words(ends_in, words):
    assert need_of(Facts(ends_in=ends_in)).words == f"Programme ends {words}"


def test_an_end_far_away_is_not_mentioned():
    assert need_of(Facts(ends_in=15)).reasons == ()


def test_missed_sessions_and_checks_are_capped():
    assert need_of(Facts(missed=4, planned=9)).score == need_of(Facts(missed=9, planned=9)).score
    assert need_of(Facts(checks=("a",) * 4)).score == need_of(Facts(checks=("a",) * 9)).score


@pytest.mark.parametrize(("days", "planned", "said"), [(11, 4, True), (10, 4, False), (30, 0, False), (None, 4, False)])
def test_silence_counts_only_when_something_was_planned(days, planned, said):
    assert bool(need_of(Facts(silent_days=days, planned=planned)).reasons) is said
