"""A whole set in one cell, as it is read aloud: common practice, no source."""

import pytest
from django.core.exceptions import ValidationError

from programs.logs.forms.lines import Typed, read_set

LINES = [
    (("", "80 x 8", ""), ("80", "8", "")),
    (("", "80x8", ""), ("80", "8", "")),
    (("", "80 \u00d7 8 @2", ""), ("80", "8", "2")),
    (("", "8", ""), ("", "8", "")),
    (("", "8 @2", ""), ("", "8", "2")),
    (("", "8@1,5", ""), ("", "8", "1,5")),
    (("", "8 RIR 2", ""), ("", "8", "2")),
    (("80 x 8", "", ""), ("80", "8", "")),
    (("82,5", "7 @0", ""), ("82,5", "7", "0")),
    (("82,5", "7", "1"), ("82,5", "7", "1")),
    (("80", "80 x 8", ""), ("80", "8", "")),
    (("", "14 assistance x 6", ""), ("14 assistance", "6", "")),
    (("", "extra heavy x 12", ""), ("extra heavy", "12", "")),
    # No set: what it is, its own field says.
    (("", "eight", ""), ("", "eight", "")),
    (("", "-8", ""), ("", "-8", "")),
    (("-70", "8", ""), ("-70", "8", "")),
    (("", "80 x", ""), ("", "80 x", "")),
    (("", "x" * 41, ""), ("", "x" * 41, "")),
]


@pytest.mark.parametrize(("cells", "parts"), LINES)
def test_a_set_is_taken_apart(cells, parts):
    assert read_set(*cells) == Typed(*parts)


@pytest.mark.parametrize(
    ("text", "why"), [("-", ""), ("- elbow sore", "elbow sore"), ("\u2013", ""), ("-no time", "no time")]
)
def test_a_dash_says_that_the_set_was_left_out(text, why):
    assert read_set("", text, "") == Typed("", "", "", left_out=True, why=why)


@pytest.mark.parametrize("cells", [("70", "80 x 8", ""), ("", "8 @2", "3"), ("70", "-", ""), ("", "-", "2")])
def test_cells_that_disagree_are_refused(cells):
    with pytest.raises(ValidationError):
        read_set(*cells)


def test_over_saved_cells_a_whole_set_goes_first():
    assert read_set("70", "72.5 x 6 @1", "3", saved=True) == Typed("72.5", "6", "1")
    assert read_set("70", "-", "3", saved=True).left_out


def test_a_million_characters_are_answered_at_once():
    assert read_set("", "8 x " * 250_000, "").reps.startswith("8 x")
