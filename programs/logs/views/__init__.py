"""Switchboards for the roster, logs and trends: get, bind, call, answer."""

from programs.logs.views.client import client_blocks, client_sessions, client_trends
from programs.logs.views.detail import (
    session_log_changes,
    session_log_detail,
    session_log_edit,
    session_log_estimates,
    session_log_undo,
)  # fmt: skip
from programs.logs.views.messages import client_messages, message_answer
from programs.logs.views.pains import session_pain
from programs.logs.views.plan_gaps import plan_gap_seen
from programs.logs.views.record import session_log, session_skip
from programs.logs.views.report import block_report, block_report_edit, block_report_pdf, program_report
from programs.logs.views.roster import roster, roster_view_new, roster_view_remove
from programs.logs.views.roster_acts import roster_act, roster_act_detail
from programs.logs.views.rule_order import client_rule_order, rule_order
from programs.logs.views.sets import set_edit, set_log
from programs.logs.views.staff import staff_list
from programs.logs.views.unplanned import extra_exercise, unplanned_session

__all__ = [
    "block_report", "block_report_edit", "block_report_pdf", "client_blocks", "client_messages",
    "client_rule_order", "client_sessions", "client_trends",
    "extra_exercise", "message_answer", "plan_gap_seen", "program_report", "roster", "roster_act",
    "roster_act_detail", "roster_view_new", "roster_view_remove", "rule_order", "session_log", "session_log_changes",
    "session_log_detail", "session_log_edit", "session_log_estimates", "session_log_undo",
    "session_pain", "session_skip", "set_edit", "set_log", "staff_list", "unplanned_session",
]  # fmt: skip
