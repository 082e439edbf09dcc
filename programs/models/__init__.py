"""Exercises, strength, programmes and what was handed out, split by noun."""

from programs.models.calendar import Absence, ClientDate
from programs.models.evidence import EvidenceCard
from programs.models.exercise import Exercise, ExerciseMuscle, Substitute
from programs.models.facts import TrainingFacts
from programs.models.group import GroupMember, TrainingGroup
from programs.models.pain import PainReport
from programs.models.program import Block, PlannedExercise, PlannedSession, Program, Scheme
from programs.models.rollout import Rollout
from programs.models.sheet import FlagDecision, IssuedSheet
from programs.models.sheet_run import RunSheet, SheetRun
from programs.models.strength import StrengthEstimate, StrengthObservation, TimedBest
from programs.models.version import TemplateVersion

__all__ = [
    "Absence", "Block", "ClientDate", "EvidenceCard", "Exercise", "ExerciseMuscle", "FlagDecision", "GroupMember",
    "IssuedSheet", "PainReport", "PlannedExercise", "PlannedSession", "Program", "Rollout", "RunSheet",
    "Scheme", "SheetRun",
    "StrengthEstimate", "StrengthObservation", "Substitute", "TemplateVersion", "TimedBest", "TrainingFacts",
    "TrainingGroup",
]  # fmt: skip
