"""Reading exercises, strength, programmes and what they prescribe."""

from programs.selectors.changes import changes, snapshot
from programs.selectors.compare import Comparison, comparison
from programs.selectors.context import recovery_of
from programs.selectors.editor import Editor, Typed, editor, flag_of, unit_of
from programs.selectors.effects import sheet_profiles
from programs.selectors.exercises import exercise_choices, exercise_rows, exercises_by_name, visible_exercises
from programs.selectors.open_flags import OpenFlags, open_flags_for, week_flags_for
from programs.selectors.prescription import (
    ProgramView,
    SessionView,
    WeekView,
    program_view,
    session_view,
)  # fmt: skip
from programs.selectors.programs import (
    block_rows,
    current_program,
    current_programs,
    planned_days,
    program_rows,
    programs_of,
    session_on,
    sessions_in_order,
    visible_blocks,
    visible_planned_exercises,
    visible_programs,
    visible_sessions,
    visible_sheets,
    weeks_of,
)  # fmt: skip
from programs.selectors.rules import RulePreview, rule_groups, rule_preview
from programs.selectors.schemes import kind_rows, own_rows, visible_schemes
from programs.selectors.strength import (
    Evidence,
    bests_of,
    estimates_of,
    evidence_of,
    machine_names,
    observations_of,
    tests_of,
)

__all__ = [
    "Comparison", "Editor", "Evidence", "OpenFlags", "ProgramView", "RulePreview", "SessionView", "Typed",
    "WeekView", "bests_of", "block_rows", "changes", "comparison", "current_program", "current_programs", "editor",
    "estimates_of", "evidence_of", "exercise_choices", "exercise_rows", "exercises_by_name", "flag_of", "kind_rows",
    "machine_names",
    "observations_of", "open_flags_for", "own_rows", "planned_days", "program_rows", "program_view", "programs_of",
    "recovery_of", "rule_groups", "rule_preview", "session_on", "session_view", "sessions_in_order", "sheet_profiles",
    "snapshot", "tests_of", "unit_of", "visible_blocks", "visible_exercises", "visible_planned_exercises",
    "visible_programs", "visible_schemes", "visible_sessions", "visible_sheets", "week_flags_for", "weeks_of",
]  # fmt: skip
