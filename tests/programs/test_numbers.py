"""Where the numbers come from: the page shows the engine's table, finds words in it, and says where each is used."""

from django.urls import reverse

from coachdesk.engine import CONSTANTS
from coachdesk.engine.number_lines import number_lines
from programs.selectors.numbers import places_of, shown_numbers

NUMBERS = reverse("programs:number_list")


def names(query="", basis=""):
    return {one.line.name for _, lines in shown_numbers(query, basis) for one in lines}


def test_every_line_is_shown_without_a_filter():
    assert names() == {line.name for line in number_lines()}


def test_words_are_found_wherever_they_stand_whatever_their_case():
    assert names("between two HARD sessions") >= {"hours_apart"}
    assert names("garber 2011") >= {"hours_apart"}
    assert names("lombardi") >= {"lombardi"}
    assert names("sets garber") < names("garber")
    assert names("nothing like this") == set()


def test_a_kind_of_basis_is_filtered():
    assert names(basis="common practice") >= {c.name for c in CONSTANTS if c.basis == "trade"}
    assert not names(basis="published") & names(basis="modelling choice")


def test_a_number_says_where_it_is_used():
    assert {"flags of recovery", "many clients at once"} <= set(places_of("hours_apart"))
    assert "strength left in a session" in places_of("slow_s0")
    assert "flags of weekly sets" in places_of("band_novice_low")
    unused = [line.name for line in number_lines() if not places_of(line.name)]
    assert unused == []


def test_the_page_answers_whole_and_as_a_part(as_coach):
    whole = as_coach.get(NUMBERS, {"q": "garber"})
    part = as_coach.get(NUMBERS, {"q": "garber"}, headers={"HX-Request": "true"})
    assert "Between two hard sessions of a muscle" in whole.content.decode()
    assert "<html" not in part.content.decode()
    assert "No number fits" in as_coach.get(NUMBERS, {"q": "\x00" * 5 + "zz"}).content.decode()
