"""Switchboards for arranging a programme: get, bind, call, answer."""

from programs.arrange.views.blocks import (
    block_add,
    block_delete,
    block_duplicate,
    block_edit,
    block_list,
    block_move,
    block_split,
)  # fmt: skip
from programs.arrange.views.placing import planned_exercise_place, session_place, week_delete, week_place
from programs.arrange.views.progression import program_progression

__all__ = [
    "block_add", "block_delete", "block_duplicate", "block_edit", "block_list", "block_move", "block_split",
    "planned_exercise_place", "program_progression", "session_place", "week_delete", "week_place",
]  # fmt: skip
