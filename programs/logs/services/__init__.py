"""Writing what was done; every function is one act, and works the weekly sums and estimates out anew."""

from programs.logs.services.derive import refresh_client, refresh_weeks
from programs.logs.services.facts import refresh_facts
from programs.logs.services.messages import answer_message
from programs.logs.services.needs import bring_up_to_date, refresh_needs
from programs.logs.services.pains import record_pain
from programs.logs.services.plan_gaps import see_plan_gap
from programs.logs.services.replays import KeyReused
from programs.logs.services.reports import write_note
from programs.logs.services.session_logs import (
    edit_session_log,
    open_session_log,
    record_session_log,
    skip_session,
    undo_session_log,
)  # fmt: skip
from programs.logs.services.set_logs import edit_set, log_set, remove_set

__all__ = [
    "KeyReused", "answer_message", "bring_up_to_date", "edit_session_log", "edit_set", "log_set", "open_session_log",
    "record_pain", "record_session_log", "refresh_client", "refresh_facts", "refresh_needs", "refresh_weeks",
    "remove_set", "see_plan_gap", "skip_session", "undo_session_log", "write_note",
]  # fmt: skip
