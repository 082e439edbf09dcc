"""The roster's score: what weighs more than what is common practice, no source; the weights are house rules."""

from dataclasses import fields, replace

import pytest

from coachdesk.engine import DEFAULT, Rules
from coachdesk.engine.need import NeedFacts, Trend, facts_of_trends, need_of

EVERYTHING = NeedFacts(
    stops=("Screening is missing.",), coming_stops=("Clearance expires.",), checks=("Chest is above its band.",),
    notes=("A note.",), pain=("Squat: pain 4 of 10.",), unrecovered=("Chest",), old_maximum=("Squat",), no_maximum=1,
    falling=("Bench press",), stalled=("Row",), missed=1, planned=6, ends_in=3, silent_days=20, messages=1,
    plan_left=1,
)  # fmt: skip


def test_nothing_open_scores_nothing():
    assert need_of(NeedFacts(planned=6, ends_in=40)).score == 0
    assert need_of(NeedFacts(planned=6, ends_in=40)).words == "Nothing open"


ORDER = [
    NeedFacts(stops=("Screening is missing.",)),
    NeedFacts(coming_stops=("Screening expires.",)),
    NeedFacts(has_program=False),
    NeedFacts(messages=3),
    NeedFacts(falling=("Bench press",)),
    NeedFacts(pain=("Squat: pain 4 of 10.",)),
    NeedFacts(ends_in=7),
    NeedFacts(plan_left=2),
    NeedFacts(missed=1, planned=6),
    NeedFacts(unrecovered=("Chest",)),
    NeedFacts(planned=4, silent_days=11),
    NeedFacts(checks=("Chest is above its band.",)),
    NeedFacts(old_maximum=("Squat",)),
    NeedFacts(ends_in=13),
    NeedFacts(notes=("Drops were taken out.",)),
    NeedFacts(),
]


def test_reasons_that_are_sentences_stand_on_one_line():
    found = need_of(NeedFacts(stops=("Chest: 25 sets; the band ends at 20.",), missed=1, planned=4))
    assert found.words == "1 stop: Chest: 25 sets; the band ends at 20; Missed 1 of 4 sessions in 14 days"


def test_a_flag_is_told_by_its_first_sentence():
    flag = "18 days without a session: take 30 % off the sets. Planned 15.5 sets, usual 18."
    assert need_of(NeedFacts(checks=(flag,))).words == "1 check: 18 days without a session: take 30 % off the sets"


def test_several_checks_and_all_notes_are_told_by_their_kinds():
    kinds = ("Sets above the band", "Layoff", "Sets above the band", "Jump in load", "Monotony", "Symmetry")
    assert need_of(NeedFacts(checks=kinds)).words == (
        "6 checks: sets above the band (2), layoff, jump in load, monotony and 1 other kind"
    )
    assert need_of(NeedFacts(notes=("Uninformative RIR",))).words == "1 note: uninformative RIR"


def test_a_reason_names_three_and_counts_the_rest():
    assert need_of(NeedFacts(stalled=("A", "B", "C"))).words == "Strength not rising: A, B, C"
    assert need_of(NeedFacts(stalled=("A", "B", "C", "D", "E"))).words == "Strength not rising: A, B, C and 2 more"


def test_the_order_of_single_reasons():
    scores = [need_of(facts).score for facts in ORDER]
    assert scores == sorted(scores, reverse=True)
    assert len(set(scores)) == len(scores)


def test_reasons_stand_by_weight_and_say_their_numbers():
    need = need_of(NeedFacts(stops=("Screening is missing.",), missed=3, planned=6, ends_in=5, no_maximum=2))
    assert [reason.words for reason in need.reasons] == [
        "1 stop: Screening is missing", "Missed 3 of 6 sessions in 14 days", "Programme ends in 5 days",
        "No maximum known for 2 exercises",
    ]  # fmt: skip
    assert [reason.points for reason in need.reasons] == [100, 75, 30, 20]
    assert need.score == 225


@pytest.mark.parametrize(("ends_in", "words"), [(0, "today"), (1, "in 1 day"), (14, "in 14 days")])
def test_the_end_in_words(ends_in, words):
    assert need_of(NeedFacts(ends_in=ends_in)).words == f"Programme ends {words}"


def test_an_end_far_away_is_not_mentioned():
    assert need_of(NeedFacts(ends_in=15)).reasons == ()


def test_missed_sessions_checks_and_notes_are_capped():
    assert need_of(NeedFacts(missed=4, planned=9)).score == need_of(NeedFacts(missed=9, planned=9)).score
    for name in ("checks", "notes"):
        assert need_of(NeedFacts(**{name: ("a",) * 4})).score == need_of(NeedFacts(**{name: ("a",) * 9})).score


@pytest.mark.parametrize(("days", "planned", "said"), [(11, 4, True), (10, 4, False), (30, 0, False), (None, 4, False)])
def test_silence_counts_only_when_something_was_planned(days, planned, said):
    assert bool(need_of(NeedFacts(silent_days=days, planned=planned)).reasons) is said


WEIGHTS = [
    one.name for one in fields(Rules)
    if one.name.startswith("need_") and not one.name.endswith(("_chance", "_most", "_days", "_sets"))
]  # fmt: skip


@pytest.mark.parametrize("name", WEIGHTS)
def test_every_weight_moves_the_score_and_a_weight_of_nothing_silences_its_reason(name):
    facts = {
        "need_no_program": replace(EVERYTHING, has_program=False), "need_ending": replace(EVERYTHING, ends_in=10)
    }.get(name, EVERYTHING)  # fmt: skip
    usual, more = need_of(facts), need_of(facts, replace(DEFAULT, **{name: getattr(DEFAULT, name) + 1}))
    none = need_of(facts, replace(DEFAULT, **{name: 0.0}))
    assert more.score == usual.score + 1
    assert none.score == usual.score - getattr(DEFAULT, name)
    assert {one.rule for one in usual.reasons} - {one.rule for one in none.reasons} == {name}


def test_a_score_is_the_sum_of_what_its_reasons_say():
    need = need_of(EVERYTHING)
    assert need.score == sum(reason.points for reason in need.reasons)
    assert len(need.reasons) == 15


def test_trends_by_the_chance_that_they_rise():
    trends = [Trend("Squat", 0.05, 6), Trend("Row", 0.2, 4), Trend("Curl", 0.2, 3), Trend("Press", 0.6, 9)]
    assert facts_of_trends(trends) == {"falling": ("Squat",), "stalled": ("Row",)}
    assert facts_of_trends(trends, replace(DEFAULT, need_trend_sets=3))["stalled"] == ("Row", "Curl")
    # The same exercise on two machines, one falling: it is said once, as falling.
    assert facts_of_trends([Trend("Row", 0.2, 9), Trend("Row", 0.01, 9)]) == {"falling": ("Row",), "stalled": ()}
