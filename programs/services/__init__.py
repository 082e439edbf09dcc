"""Writing exercises, strength, programmes, flags and sheets; every function is one act."""

from programs.services.assign import assign_program, save_as_template
from programs.services.blocks import add_block, delete_block, duplicate_block, edit_block, move_block, split_block
from programs.services.exercises import (
    add_exercise,
    carry_cue,
    edit_exercise,
    move_exercise,
    remove_exercise,
    swap_exercise,
)
from programs.services.flags import apply_remedy, dismiss_flag, take_back_dismissal
from programs.services.library import load_library
from programs.services.placing import place_exercise, place_session
from programs.services.programs import archive_program, create_program, edit_program, subject_of
from programs.services.schemes import create_scheme, edit_scheme, remove_scheme, use_scheme
from programs.services.sessions import DAYS, add_session, edit_session, remove_session
from programs.services.sheets import HandoverStopped, issue_sheet
from programs.services.strength import (
    record_best,
    record_test,
    refresh_after_pain,
    refresh_estimates,
    remove_best,
    remove_test,
)
from programs.services.weeks import copy_week, delete_week, empty_week, insert_copy, insert_move, put_week

__all__ = [
    "DAYS", "HandoverStopped", "add_block", "add_exercise", "add_session", "apply_remedy", "archive_program",
    "assign_program", "carry_cue", "copy_week", "create_program", "create_scheme", "delete_block", "delete_week",
    "dismiss_flag", "duplicate_block", "edit_block", "edit_exercise", "edit_program", "edit_scheme",
    "edit_session", "empty_week", "insert_copy", "insert_move", "issue_sheet", "load_library", "move_block",
    "move_exercise", "place_exercise", "place_session", "put_week", "record_best", "record_test", "refresh_after_pain",
    "refresh_estimates", "remove_best", "remove_exercise", "remove_scheme", "remove_session", "remove_test",
    "save_as_template", "split_block", "subject_of", "swap_exercise", "take_back_dismissal", "use_scheme",
]  # fmt: skip
