"""Schemes typed in the trade's own written notation: what was understood, and what was not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from . import written_marks as marks
from .errors import EngineError, instance, one_of
from .loads import UNITS
from .scheme import Scheme
from .scheme_fields import FieldErrors, scheme_from_fields
from .scheme_texts import read_rest
from .scheme_words import rest_words, scheme_words
from .written_check import left_out
from .written_fields import FIRST, fields_of, list_loads
from .written_line import Group, Line, Reader

__all__ = ["LONGEST_WRITTEN", "Written", "read_written"]

LONGEST_WRITTEN = 400
_EXAMPLE = "Write sets, reps and a load, such as 4 x 6-8 @ 75 %."


@dataclass(frozen=True)
class Written:
    """A line as read: its scheme and flat fields when all of it was understood, else `problem` says why not.

    `understood`: what was read, in words, '' for nothing; `unread`: the pieces that mean nothing here.
    """

    text: str
    scheme: Scheme | None = None
    fields: dict[str, str] = field(default_factory=dict)
    understood: str = ""
    unread: tuple[str, ...] = ()
    problem: str = ""


def read_written(text: str, unit: str, usual: Mapping[str, str] | None = None) -> Written:
    """What a line such as '4 x 6-8 @ 75 % rest 2 min' writes; any text gives an answer, never an error.

    `usual`: flat fields that hold where the line says nothing of load and reserve, rest, side or what fatigue
    leaves alone; without them two in reserve and 2 min. `unit`: that of loads written without one.
    """
    one_of("unit", unit, UNITS)
    usual = FIRST | {str(name): str(held) for name, held in instance("usual", usual or {}, Mapping).items()}
    line = marks.normal(text) if isinstance(text, str) else ""
    if not line or len(text) > LONGEST_WRITTEN:
        words = f"A line has at most {LONGEST_WRITTEN} characters." if line else _EXAMPLE
        return Written(text if isinstance(text, str) else "", problem=words)
    if marks.SERIES.search(line):
        return _series(text, line, unit, usual)
    return _single(text, line, unit, usual)


def _single(text: str, normal: str, unit: str, usual: Mapping[str, str]) -> Written:
    line = Reader(normal, unit).read()
    understood = _understood(line)
    unread = tuple(line.unread)
    try:
        fields = fields_of(line, usual)
        if not unread:
            scheme = scheme_from_fields(fields, unit)
            if not (lost := left_out(normal, scheme)):
                return Written(text, scheme, fields, scheme_words(scheme))
            unread = tuple(dict.fromkeys(lost))
        problem = ""
    except FieldErrors as wrong:
        problem = " ".join(dict.fromkeys(wrong.errors.values()))
    except EngineError as wrong:
        problem = str(wrong)
    return Written(text, None, {}, understood, unread, _sentence(understood, unread, problem))


def _sentence(understood: str, unread: tuple[str, ...], problem: str) -> str:
    parts = [f"Understood {understood}." if understood else ""]
    if unread:
        parts.append(f"Not understood: {', '.join(repr(piece) for piece in unread)}.")
    if problem and (not unread or understood):
        parts.append(problem)
    elif not understood:
        parts.append(_EXAMPLE)
    return " ".join(part for part in parts if part)


def _series(text: str, line: str, unit: str, usual: Mapping[str, str]) -> Written:
    """Schemes one after another, with one rest between them."""
    pieces, rests, at = [], [], 0
    for found in marks.SERIES.finditer(line):
        pieces.append(line[at : found.start()])
        rests.append(marks.seconds_text(found) or found["time"])
        at = found.end()
    parts = [_single(piece, piece, unit, usual) for piece in (*pieces, line[at:])]
    understood = "; then ".join(part.understood for part in parts if part.understood)
    unread = tuple(piece for part in parts for piece in part.unread)
    schemes = tuple(part.scheme for part in parts if part.scheme)
    if len(schemes) == len(parts):
        try:
            if len(set(rests)) > 1:
                raise EngineError("The parts of a series have one and the same rest between them.")
            scheme = Scheme("series", rest_s=read_rest(rests[0]), parts=schemes)
            return Written(text, scheme, {}, scheme_words(scheme))
        except EngineError as wrong:
            return Written(text, None, {}, understood, (), f"Understood {understood}. {wrong}")
    problem = " ".join(dict.fromkeys(part.problem for part in parts if part.problem))
    return Written(text, None, {}, understood, unread, problem)


def _understood(line: Line) -> str:
    """The parts that were read, as a coach would say them: '4 sets of 6-8 at 75 %, rest 120 s'."""
    parts = [_group_words(group) for group in line.groups]
    parts += [line.cluster, line.bouts]
    if line.drops:
        parts.append(f"{line.drops[1]} drops or rises of {line.drops[0]}")
    parts += ["an open last set" if line.last else "", f"until {line.until}" if line.until else ""]
    parts.append(f"rest {rest_words(float(line.rest))}" if line.rest and float(line.rest) <= 3600 else "")
    return ", ".join(part for part in parts if part)


def _group_words(group: Group) -> str:
    load = "/".join(list_loads(group.loads)) if group.loads else group.load
    load = load.replace("%", " %")
    reps = "failure" if group.reps == "failure" else group.reps
    to = "to failure" if reps == "failure" else reps
    words = f"{group.count} {'set' if group.count == '1' else 'sets'} of {reps}" if group.count and reps else ""
    words = words.replace("of failure", "to failure") or (f"{group.count} sets" if group.count else to)
    words += f" at {load}" if load and words else load
    return words + (f", RIR {group.rir}" if group.rir else "")
