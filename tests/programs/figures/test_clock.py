"""The picture of a group on one clock: bars where the minutes are, marked where something is short."""

import re

from programs.figures.clock import Bar, Lane, clock_svg, sentence_of

LANES = (
    Lane("Amara <A>", (Bar("Back squat", 0, 600, True), Bar("Row", 600, 1200, False))),
    Lane("Jonas", (Bar("Deadlift", 0, 900, True),)),
)


def test_bars_stand_at_their_share_of_the_longest_session():
    svg = clock_svg(LANES)
    found = re.findall(r'<svg x="([\d.]+)%" y="[\d.]+" width="([\d.]+)%"', svg)
    assert found == [("0.00", "50.00"), ("50.00", "50.00"), ("0.00", "75.00")]
    assert svg.count("clock-bar waits") == 2
    assert re.findall(r'class="tick"[^>]*>([^<]+)<', svg) == ["0 min", "10", "20"]
    assert "Amara &lt;A&gt;" in svg


def test_the_sentence_says_the_same():
    assert sentence_of(LANES) == (
        "Amara <A>: Back squat to minute 10, at once with another, Row to minute 20. "
        "Jonas: Deadlift to minute 15, at once with another."
    )


def test_without_anything_planned_there_is_no_picture():
    assert clock_svg((Lane("Amara", ()),)) == ""
