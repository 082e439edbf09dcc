"""Programmes as plain values: to keep as a version, to compare, to merge three ways, and to make rows of."""

from programs.bodies.codec import Body, ExerciseState, SessionState, body_from_json, body_of, body_to_json, rows_of
from programs.bodies.compare import Difference, differences, weeks_words
from programs.bodies.three_way import Clash, Merged, merge_bodies

__all__ = [
    "Body", "Clash", "Difference", "ExerciseState", "Merged", "SessionState", "body_from_json", "body_of",
    "body_to_json", "differences", "merge_bodies", "rows_of", "weeks_words",
]  # fmt: skip
