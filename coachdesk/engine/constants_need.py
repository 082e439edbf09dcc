"""Rows of the table of constants on who needs the coach first."""

from __future__ import annotations

# Nothing published ranks the people a coach looks after.
TRADE = "common practice, no source"

Row = tuple[str, float, str, str, str]
NEED_ROWS: tuple[Row, ...] = (
    ("need_stop", 100, "points", TRADE, "trade"),
    ("need_stop_coming", 70, "points", TRADE, "trade"),
    ("need_no_program", 60, "points", TRADE, "trade"),
    ("need_message", 50, "points", TRADE, "trade"),
    ("need_plan_left", 28, "points", TRADE, "trade"),
    ("need_falling", 40, "points", TRADE, "trade"),
    ("need_stalled", 15, "points", TRADE, "trade"),
    ("need_falling_chance", 0.10, "share", TRADE, "trade"),
    ("need_stalled_chance", 0.30, "share", TRADE, "trade"),
    ("need_trend_sets", 4, "sets", TRADE + ": fewer say nothing of a trend", "trade"),
    ("need_pain", 35, "points", TRADE, "trade"),
    ("need_missed", 25, "points", TRADE, "trade"),
    ("need_missed_most", 4, "sessions", TRADE, "trade"),
    ("need_unrecovered", 20, "points", TRADE, "trade"),
    ("need_check", 15, "points", TRADE, "trade"),
    ("need_note", 2, "points", TRADE, "trade"),
    ("need_flags_most", 4, "flags", TRADE, "trade"),
    ("need_ending_week", 30, "points", TRADE, "trade"),
    ("need_ending", 10, "points", TRADE, "trade"),
    ("need_old_maximum", 12, "points", TRADE, "trade"),
    ("need_no_maximum", 20, "points", TRADE, "trade"),
    ("need_silent", 18, "points", TRADE, "trade"),
    ("need_silent_days", 10, "days", TRADE, "trade"),
)
