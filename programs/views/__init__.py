"""Switchboards for programmes: get, bind, call, answer. One module a noun."""

from programs.views.compare import planned_exercise_scheme, scheme_compare
from programs.views.exercises import exercise_detail, exercise_list
from programs.views.numbers import number_list
from programs.views.pain import client_pain
from programs.views.planned import (
    exercise_add,
    planned_exercise_cue,
    planned_exercise_delete,
    planned_exercise_edit,
    session_delete,
    session_edit,
    session_new,
)  # fmt: skip
from programs.views.programs import (
    flag_apply,
    flag_dismiss,
    program_archive,
    program_assign,
    program_detail,
    program_edit,
    program_list,
    program_new,
    program_redo,
    program_template,
    program_undo,
)  # fmt: skip
from programs.views.rules import client_rules, rule_list
from programs.views.schemes import scheme_delete, scheme_edit, scheme_list, scheme_new
from programs.views.sheets import sheet_detail, sheet_issue
from programs.views.strength import client_programs, client_strength, strength_best_delete, strength_test_delete

__all__ = [
    "client_pain", "client_programs", "client_rules", "client_strength", "exercise_add", "exercise_detail",
    "exercise_list", "flag_apply", "flag_dismiss", "number_list", "planned_exercise_cue",
    "planned_exercise_delete", "planned_exercise_edit", "planned_exercise_scheme", "program_archive",
    "program_assign", "program_detail", "program_edit", "program_list", "program_new", "program_redo",
    "program_template", "program_undo", "rule_list", "scheme_compare", "scheme_delete", "scheme_edit",
    "scheme_list", "scheme_new", "session_delete", "session_edit", "session_new", "sheet_detail", "sheet_issue",
    "strength_best_delete", "strength_test_delete",
]  # fmt: skip
