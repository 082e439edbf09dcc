"""Binding what a person types about a session: the whole sheet, one set, the head of a log."""

from programs.logs.forms.session import SessionHeadForm, SessionLogForm, SkipForm
from programs.logs.forms.set import SetForm

__all__ = ["SessionHeadForm", "SessionLogForm", "SetForm", "SkipForm"]
