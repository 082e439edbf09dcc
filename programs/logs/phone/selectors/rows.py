"""One session as the phone shows it: a row for every step, what is saved in it, and which row is open."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from coachdesk import engine
from programs.logs.mapping import LABELS, SheetStep
from programs.logs.models import SetLog
from programs.logs.selectors.session_page import cell_texts, set_values
from programs.sheet_words import reps_words, rir_words

SIDES = {"l": "left", "r": "right"}


@dataclass(frozen=True)
class Refused:
    """What was sent and could not be kept: of what kind, where, why, and as it was typed."""

    kind: str
    slot: str
    words: str
    typed: Mapping[str, str] = field(default_factory=dict)
    asks: str = ""
    fields: tuple[str, ...] = ()


@dataclass(frozen=True)
class StepRow:
    """One step: as planned, as saved, and the text in its fields while it is open.

    `near`: the loads that can be made about the planned one, as text; `spare`: not needed any more, or left out, and
    why; `then`: the exercise done in turn with it, without a rest between; `like`: a set of this exercise done before,
    whose load is offered where none was planned; `apart`: the same of each side, for a step that may be said so.
    """

    step: SheetStep
    body: Mapping[str, Any] | None
    unit: str
    log: SetLog | None = None
    spare: str = ""
    is_last: bool = False
    is_open: bool = False
    near: tuple[str, ...] = ()
    like: SetLog | None = None
    refused: Refused | None = None
    is_drop: bool = False
    most_rest_s: int = 0
    less_rest_s: int = 0
    then: str = ""
    apart: tuple["StepRow", ...] = ()

    @property
    def slot(self) -> str:
        return self.step.slot

    @property
    def id(self) -> str:
        return f"s-{self.step.slot}"

    @property
    def name(self) -> str:
        """'Set 2', 'Drop 1', 'Bout 2', with the side."""
        step = self.step
        words = f"Set {step.set_no}"
        if step.step_no > 1:
            words = f"Drop {step.step_no - 1}" if self.is_drop else f"Bout {step.step_no}"
        return f"{words}, {SIDES[step.side]}" if step.side in SIDES else words

    @property
    def load(self) -> str:
        """'72.5 kg', '14 kg assistance', 'medium'; '' for the body alone and where none was planned."""
        if self.step.setting:
            return self.step.setting
        return engine.load_in_words(self.step.load, self.step.unit) if self.step.load else ""

    @property
    def own_unit(self) -> str:
        """The load in the client's unit where the equipment is stamped in the other."""
        load, unit = self.step.load, self.step.unit
        if not load or unit == self.unit:
            return ""
        return f"{float(engine.convert(abs(load), unit, self.unit)) / 1000:.1f}".removesuffix(".0") + f" {self.unit}"

    @property
    def setup(self) -> str:
        return "" if self.step.setup == self.load else self.step.setup

    @property
    def reps(self) -> str:
        return reps_words(self.body) if self.body and not self.step.stands_in else self.step.reps_words

    @property
    def rir(self) -> str:
        return rir_words(self.body) if self.body else ""

    @property
    def rest_s(self) -> int:
        planned = round(self.body["rest_s"] or 0) if self.body and not self.then else 0
        return max(0, (min(planned, self.most_rest_s) if self.most_rest_s else planned) - self.less_rest_s)

    @property
    def rest(self) -> str:
        return engine.rest_words(self.rest_s) if self.rest_s else ""

    @property
    def label(self) -> str:
        """'Reps', 'Seconds' or 'Metres'."""
        return self.step.rep_kind.capitalize()

    @property
    def asks_rir(self) -> bool:
        """Asked on the last set of an exercise, and where a saved set is corrected; never of timed work."""
        return self.step.rep_kind == "reps" and self.is_last and not self.log and not self.step.to_failure

    @property
    def has_load(self) -> bool:
        """Whether there is a load to type: not with bands, nor with the body alone on a plan without one."""
        return bool(self.step.settings) or self.step.load is not None or self.step.needs_load or self.step.on_body

    @property
    def done(self) -> str:
        """What is saved, in words: '70 kg x 8, RIR 2'; '' for nothing."""
        if self.log is None:
            return ""
        one = self.log
        load = one.setting or (engine.load_in_words(one.load, one.unit) if one.load else "")
        amount = f"{one.reps}" if one.rep_kind == "reps" else f"{one.reps} {LABELS[one.rep_kind]}"
        rir = "" if one.rir is None else f", RIR {one.rir:g}"
        return (f"{load} x {amount}" if load else f"{amount} reps" if one.rep_kind == "reps" else amount) + rir

    @property
    def over(self) -> int:
        return self.log.version if self.log else 0

    @property
    def values(self) -> Mapping[str, str]:
        """The text in the fields: typed, saved, or planned."""
        if self.refused:
            return self.refused.typed
        if self.log:
            return set_values(self.log)
        if self.like and self.step.load is None and not self.step.setting:
            return set_values(self.like) | {"reps": str(self.step.written_reps or self.like.reps), "rir": ""}
        return cell_texts(
            {"load": self.step.load, "setting": self.step.setting, "reps": self.step.written_reps, "rir": None}
        )


@dataclass(frozen=True)
class SetRows:
    """One set with its steps: a drop set is entered step by step in its own row. `quota`: what is still to do of it."""

    number: int
    rows: tuple[StepRow, ...]
    quota: str = ""

    @property
    def further(self) -> str:
        """The place of a further bout, where all that were planned are done and the total is not reached."""
        if not self.quota.endswith("left") or not all(row.log for row in self.rows):
            return ""
        last = self.rows[-1].step
        return f"{last.position}-{last.set_no}-{last.step_no + 1}-{last.side}"


@dataclass(frozen=True)
class Lift:
    """One exercise of the session with what stands beside its sets; `body` is the sheet's own.

    `further`: one set more than there are, on the side of the last; None where there may be no more.
    """

    body: Mapping[str, Any]
    name: str
    sets: tuple[SetRows, ...]
    instead_of: str = ""
    why: str = ""
    left_out: str = ""
    pain: int | None = None
    pain_version: int = 0
    quota: str = ""
    further: StepRow | None = None
    turn: str = ""
    turn_words: str = ""

    @property
    def exercise(self) -> int:
        """The exercise that is done, whatever was planned."""
        return self.rows[0].step.exercise if self.rows else int(self.body["exercise"])

    @property
    def position(self) -> int:
        found: int = self.body["position"]
        return found

    @property
    def id(self) -> str:
        return f"lift-{self.position}"

    @property
    def rows(self) -> list[StepRow]:
        return [row for one in self.sets for row in one.rows]

    @property
    def done_count(self) -> int:
        return sum(1 for row in self.rows if row.log)

    @property
    def is_over(self) -> bool:
        """Whether nothing of it is left to do."""
        return bool(self.left_out) or all(row.log or row.spare for row in self.rows)

    @property
    def open_row(self) -> StepRow | None:
        return next((row for row in self.rows if row.is_open and not row.log), None)
