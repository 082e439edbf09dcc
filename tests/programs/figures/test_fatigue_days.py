"""Fatigue over days: the line, the ticks, and the day the house rule allows."""

import xml.etree.ElementTree as ET
from datetime import date

import pytest

from coachdesk import engine
from programs.figures.fatigue_days import (
    Work,
    day_words,
    fatigue_svg,
    impulses_of,
    line_of,
    next_hard_day,
    noon_units,
    sentence_of,
    top_of,
)
from tests.programs.figures.test_set_profile import ABLE, LADDER, STRAIGHT, prescribed

MONDAY = date(2026, 11, 23)


def work(day: int, units: float, *, hard: bool = True, after: int = 2, half_life: float = 24.0) -> Work:
    return Work(day, "Upper A", units, ((24.0 * day + 12, units, half_life),), hard, after)


def test_line_jumps_at_noon_and_halves_in_a_half_life():
    points = {p.hour: p.units for p in line_of([work(0, 8)], 0, 7)}
    assert points[12] == 8
    assert points[36] == pytest.approx(4)
    assert points[60] == pytest.approx(2)
    assert points[0] == 0


def test_line_shows_both_ends_of_a_jump():
    at_noon = [p.units for p in line_of([work(0, 8), work(1, 8)], 0, 7) if p.hour == 36]
    assert at_noon == pytest.approx([4, 12])


def test_what_came_before_the_first_day_counts():
    assert noon_units([work(0, 8)], 1, 2) == pytest.approx((4, 2))


def test_next_hard_day_follows_the_last_hard_session_only():
    assert next_hard_day([work(0, 8, after=3), work(4, 7, after=2), work(5, 2, hard=False)], 13) == 6
    assert next_hard_day([work(0, 8, after=3), work(9, 7)], 6) == 3
    assert next_hard_day([work(0, 2, hard=False)], 13) is None


@pytest.mark.parametrize(("most", "top"), [(0, 2), (1.5, 2), (2.1, 4), (7.9, 8), (8.0, 8)])
def test_scale_ends_at_an_even_number(most, top):
    assert top_of(line_of([work(0, most)] if most else [], 0, 7)) == top


def test_sentence_names_the_session_its_units_and_the_day():
    said = sentence_of([work(1, 7.5, after=3)], "Chest", 0, 14, MONDAY, 6)
    assert "after Upper A on Tue 24 Nov (7.5 units)" in said
    assert said.endswith("from Fri 27 Nov.")
    calm = sentence_of([work(1, 2, hard=False)], "Chest", 0, 14, MONDAY, 6)
    assert calm == "No session is hard for chest (6 units or more), so the house rule asks for no gap."


def test_template_days_are_counted():
    assert day_words(None, 0, 8) == "day 2 of week 2"


def test_impulses_add_up_to_the_engines_units_and_fade_slower_after_failure():
    session = engine.PrescribedSession(1, 2, "A", (prescribed(**STRAIGHT), prescribed(**LADDER)), 0)
    made = impulses_of(session, "triceps", ABLE)
    assert sum(units for _, units, _ in made) == pytest.approx(0.5 * sum(e.impulse for e in session.exercises))
    assert {hour for hour, _, _ in made} == {60.0}
    assert {half for _, _, half in made} == {engine.half_life_hours(ABLE, True)}
    assert impulses_of(session, "calves", ABLE) == ()


def test_picture_is_named_and_marks_the_day_in_words_without_style_attributes():
    text = fatigue_svg([work(1, 7.5)], "Chest", first_day=0, days=14, start=MONDAY, limit=6)
    svg = ET.fromstring(text)
    assert svg.get("role") == "img"
    assert "from Thu 26 Nov" in svg.get("aria-label", "")
    assert "next hard session from here" in text
    assert "style=" not in text
    assert "recover" not in text
