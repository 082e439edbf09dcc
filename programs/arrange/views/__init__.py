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
from programs.arrange.views.swap import planned_exercise_substitutes, planned_exercise_swap

__all__ = [
    "block_add", "block_delete", "block_duplicate", "block_edit", "block_list", "block_move", "block_split",
    "planned_exercise_place", "planned_exercise_substitutes", "planned_exercise_swap",
    "program_progression", "session_place", "week_delete", "week_place",
]  # fmt: skip
