"""Binding what a person types about a session: the whole sheet, one set, the head of a log."""

from programs.logs.forms.pain import PainForm
from programs.logs.forms.report import NoteForm, WeeksForm
from programs.logs.forms.session import SessionHeadForm, SessionLogForm, SkipForm
from programs.logs.forms.set import SetForm

__all__ = ["NoteForm", "PainForm", "SessionHeadForm", "SessionLogForm", "SetForm", "SkipForm", "WeeksForm"]
