"""Undo and redo over several undo stacks at once, for pages that show what more than one of them holds."""

from collections.abc import Sequence

from coachdesk.practice.models import Act


def latest_acts(practice_id: int, subjects: Sequence[str]) -> tuple[Act | None, Act | None]:
    """(act to undo, undo to do again): the latest act in force of any subject, and the latest undo nothing overtook."""
    acts = Act.objects.filter(practice=practice_id, subject__in=subjects).order_by("-id")
    undo = acts.filter(kind=Act.Kind.EDIT, is_undone=False).first()
    newest = acts.filter(kind=Act.Kind.EDIT).values_list("id", flat=True).first() or 0
    redo = acts.filter(kind=Act.Kind.UNDO, is_undone=False, id__gt=newest).select_related("undoes").first()
    return undo, redo
