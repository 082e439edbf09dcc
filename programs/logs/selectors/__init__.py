"""Reading what was done: logs, one session planned against done, the roster, trends."""

from programs.logs.selectors.corrections import corrections
from programs.logs.selectors.drift import drifted_weeks
from programs.logs.selectors.extra import SettingChoices, extra_step_of, is_free
from programs.logs.selectors.messages import (
    MessageRow,
    MessagesPage,
    kept_aside,
    messages_page,
    visible_messages,
)  # fmt: skip
from programs.logs.selectors.need_order import NewOrder, new_order
from programs.logs.selectors.pains import PainLine, pain_lines
from programs.logs.selectors.plan_gaps import plan_gap_of, visible_plan_gaps
from programs.logs.selectors.report import (
    Report,
    block_report,
    block_to_report,
    latest_block,
    note_of,
    reportable_blocks,
)
from programs.logs.selectors.roster import RosterFilter, roster_choices, roster_clients, roster_page
from programs.logs.selectors.roster_views import changeable_views, view_lines, visible_views
from programs.logs.selectors.session_page import SessionPage, blank_row, estimate_changes, row_of, session_page
from programs.logs.selectors.sessions import (
    SessionsPage,
    exercises_of,
    log_by_key,
    logs_of_sheet,
    sessions_page,
    visible_session_logs,
    visible_set_logs,
)  # fmt: skip
from programs.logs.selectors.stand_ins import stand_in_names

__all__ = [
    "MessageRow",
    "MessagesPage",
    "NewOrder",
    "PainLine",
    "Report",
    "RosterFilter",
    "SessionPage",
    "SessionsPage",
    "SettingChoices",
    "blank_row",
    "block_report",
    "block_to_report",
    "changeable_views",
    "corrections",
    "drifted_weeks",
    "estimate_changes",
    "exercises_of",
    "extra_step_of",
    "is_free",
    "kept_aside",
    "latest_block",
    "log_by_key",
    "logs_of_sheet",
    "messages_page",
    "new_order",
    "note_of",
    "pain_lines",
    "plan_gap_of",
    "reportable_blocks",
    "roster_choices",
    "roster_clients",
    "roster_page",
    "row_of",
    "session_page",
    "sessions_page",
    "stand_in_names",
    "view_lines",
    "visible_messages",
    "visible_plan_gaps",
    "visible_session_logs",
    "visible_set_logs",
    "visible_views",
]  # fmt: skip
