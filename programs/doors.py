"""The doors to programmes, sessions, exercises and sheets: found, or 404 to a stranger."""

from django.http import HttpRequest

from coachdesk.practice.doors import desk_of, get_or_404
from programs import selectors
from programs.models import Block, Exercise, IssuedSheet, PlannedExercise, PlannedSession, Program, Scheme


def get_program_or_404(request: HttpRequest, pk: int) -> Program:
    """A programme this person may see."""
    return get_or_404(selectors.visible_programs(desk_of(request)), request, pk)


def get_block_or_404(request: HttpRequest, pk: int) -> Block:
    """A block of a programme this person may see."""
    return get_or_404(selectors.visible_blocks(desk_of(request)), request, pk)


def get_session_or_404(request: HttpRequest, pk: int) -> PlannedSession:
    """A planned session of a programme this person may see."""
    return get_or_404(selectors.visible_sessions(desk_of(request)), request, pk)


def get_planned_exercise_or_404(request: HttpRequest, pk: int) -> PlannedExercise:
    """A planned exercise of a programme this person may see."""
    return get_or_404(selectors.visible_planned_exercises(desk_of(request)), request, pk)


def get_exercise_or_404(request: HttpRequest, pk: int) -> Exercise:
    """An exercise of the library or of this practice."""
    return get_or_404(selectors.visible_exercises(desk_of(request)), request, pk)


def get_sheet_or_404(request: HttpRequest, pk: int) -> IssuedSheet:
    """A sheet issued to a client this person may see."""
    return get_or_404(selectors.visible_sheets(desk_of(request)), request, pk)


def get_scheme_or_404(request: HttpRequest, pk: int) -> Scheme:
    """A scheme that this person's practice keeps."""
    return get_or_404(selectors.visible_schemes(desk_of(request)), request, pk)
