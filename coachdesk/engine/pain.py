"""The pain rule: what reports of pain ask for, and the flags and ways out that follow for a running programme."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from .because import Because, reason
from .constants import source
from .errors import EngineError, instance, items, number, text
from .flags import Edit, Flag, Remedy, Where
from .plans import Key
from .rules import DEFAULT, Rules
from .scheme import Scheme
from .scheme_edits import with_effort

ACTIONS = ("go_on", "hold", "step_down", "refer")
SEVERITY = {"hold": "note", "step_down": "check", "refer": "stop"}
HOLD_CUE = "hold load and sets (pain)"


@dataclass(frozen=True)
class PainPoint:
    """Pain from 0 to 10 while doing an exercise on a day, and the next morning where it was asked."""

    on: date
    pain: float
    next_morning: float | None = None

    def __post_init__(self) -> None:
        instance("day", self.on, date)
        number("pain", self.pain, 0, 10)
        if self.next_morning is not None:
            number("pain the next morning", self.next_morning, 0, 10)

    @property
    def worse(self) -> bool:
        """Whether the next morning was worse than the session itself."""
        return self.next_morning is not None and self.next_morning > self.pain


@dataclass(frozen=True)
class PainAnswer:
    """What the rule asks for: one of ACTIONS, how many reports running ask for a step down, and why."""

    action: str
    running: int
    because: Because
    source: str


@dataclass(frozen=True)
class PlannedUse:
    """A planned exercise from this week on: its key, week, scheme and cue."""

    key: Key
    week_no: int
    scheme: Scheme
    cue: str = ""


@dataclass(frozen=True)
class PainFacts:
    """One exercise of a client: its reports (any order), where it is planned, and the next easier movement."""

    name: str
    points: tuple[PainPoint, ...]
    uses: tuple[PlannedUse, ...] = ()
    easier: tuple[Key, str] | None = None


def _asks_for(point: PainPoint, rules: Rules) -> str:
    if point.pain > rules.pain_hold or point.worse:
        return "step_down"
    return "hold" if point.pain > rules.pain_go_on else "go_on"


def pain_answer(name: str, points: Sequence[PainPoint], rules: Rules = DEFAULT) -> PainAnswer:
    """What the latest report of an exercise asks for; 'refer' when as many running as the rule says ask for a step.

    `points` in any order, at least one; of one day the last given counts as the latest. Source: the
    pain-monitoring model, from memory; a report of pain is a reason to look, not a diagnosis.
    """
    text("exercise", name)
    instance("rules", rules, Rules)
    given = [instance("report", point, PainPoint) for point in items("reports of pain", points, empty=False)]
    in_order = sorted(given, key=lambda point: point.on)
    last, running = in_order[-1], 0
    for point in reversed(in_order):
        if _asks_for(point, rules) != "step_down":
            break
        running += 1
    action = "refer" if running >= max(1, rules.pain_running) else _asks_for(last, rules)
    morning = "" if last.next_morning is None else f", {last.next_morning:g} the next morning"
    numbers = {"exercise": name, "pain": last.pain, "morning": morning, "running": running}
    limits = {"limit": rules.pain_go_on, "low": rules.pain_go_on, "high": rules.pain_hold}
    return PainAnswer(action, running, reason(f"pain_{action}", **numbers, **limits), source("pain_hold"))


def pain_flags(facts: Sequence[PainFacts], today: date, rules: Rules = DEFAULT) -> tuple[Flag, ...]:
    """A flag 'pain_rule' for each exercise whose reports ask for something, on `today`.

    Hold is a note, a step down a check, refer or review a stop that stays until the coach writes what was decided.
    The first two are raised only while the exercise is planned and nothing was done about it. Reports older than the
    rule's days say nothing any more.
    """
    instance("today", today, date)
    found = []
    for one in items("facts", facts):
        instance("facts", one, PainFacts)
        recent = tuple(p for p in one.points if 0 <= (today - p.on).days <= rules.pain_days)
        if recent:
            flag = _flag(one, pain_answer(one.name, recent, rules), rules)
            found += [flag] if flag else []
    return tuple(found)


def _flag(one: PainFacts, answer: PainAnswer, rules: Rules) -> Flag | None:
    if answer.action == "go_on":
        return None
    uses = one.uses
    if answer.action == "hold":
        uses = tuple(use for use in uses if HOLD_CUE not in use.cue.lower())
    if not uses and answer.action != "refer":
        return None
    return Flag(
        code="pain_rule", severity=SEVERITY[answer.action], where=Where(), numbers=answer.because.numbers,
        because=answer.because, source=answer.source, remedies=_remedies(one, uses, answer, rules),
        weeks=tuple(sorted({use.week_no for use in uses})) if answer.action != "refer" else (),
    )  # fmt: skip


def _remedies(one: PainFacts, uses: tuple[PlannedUse, ...], answer: PainAnswer, rules: Rules) -> tuple[Remedy, ...]:
    if not uses:
        return ()
    if answer.action == "hold":
        words = HOLD_CUE.capitalize()
        edits = tuple(Edit("exercise", use.key, "cue", words) for use in uses)
        return (Remedy(f"Write '{words}' beside {one.name}", edits),)
    out = Remedy(f"Take {one.name} out from this week on", tuple(Edit("exercise", u.key, "remove", None) for u in uses))
    return (step_down(one, uses, rules), out) if one.easier else (out,)


def step_down(one: PainFacts, uses: Sequence[PlannedUse], rules: Rules = DEFAULT) -> Remedy:
    """The remedy that swaps an exercise for the next easier one and lets effort decide its loads.

    EngineError when no easier movement is known.
    """
    if one.easier is None:
        raise EngineError("easier exercise", None, "the movement one step down the chain")
    key, name = one.easier
    edits = []
    for use in uses:
        edits.append(Edit("exercise", use.key, "exercise", key))
        eased = with_effort(use.scheme, rules.pain_step_rir, fixed_too=True)
        if eased != use.scheme:
            edits.append(Edit("exercise", use.key, "scheme", eased))
    return Remedy(f"Step down to {name} from this week on", tuple(edits))
