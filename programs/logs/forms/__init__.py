"""Binding what a person types about a session: the whole sheet, one set, the head of a log."""

from programs.logs.forms.extra import ExtraExerciseForm
from programs.logs.forms.message import AnswerForm
from programs.logs.forms.pain import PainForm
from programs.logs.forms.plan_gap import SeenForm
from programs.logs.forms.report import NoteForm, WeeksForm
from programs.logs.forms.session import SessionHeadForm, SessionLogForm, SkipForm, UnplannedForm
from programs.logs.forms.set import SetForm

__all__ = [
    "AnswerForm", "ExtraExerciseForm", "NoteForm", "PainForm", "SeenForm", "SessionHeadForm", "SessionLogForm",
    "SetForm", "SkipForm", "UnplannedForm", "WeeksForm",
]  # fmt: skip
