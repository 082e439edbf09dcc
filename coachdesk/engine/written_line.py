"""One written line taken apart: its groups of sets, what was said of them, and what nobody could read."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from re import Match, Pattern

from . import written_marks as marks


@dataclass
class Group:
    """Sets of one step as written, every part still text; `sep` is what stood before it, `loads` a list with '/'."""

    sep: str = ""
    count: str = ""
    load: str = ""
    loads: str = ""
    reps: str = ""
    rir: str | None = None
    side: str = ""
    load_first: bool = False

    @property
    def is_empty(self) -> bool:
        return not (self.count or self.load or self.loads or self.reps)


@dataclass
class Line:
    """A line's groups in order and its clauses; `unread` holds the pieces that mean nothing here."""

    hint: str = ""
    groups: list[Group] = field(default_factory=list)
    rest: str = ""
    side: str = ""
    drops: tuple[str, str] | None = None
    bouts: str = ""
    cluster: str = ""
    last: tuple[str, str] | None = None
    until: str = ""
    most: str = ""
    unread: list[str] = field(default_factory=list)


class Reader:
    """Walks over one normal line; every round takes at least one character, so it ends."""

    def __init__(self, text: str, unit: str) -> None:
        self.text, self.at, self.unit = text, 0, unit
        self.line = Line()
        self.sep = ""

    def take(self, pattern: Pattern[str]) -> Match[str] | None:
        """The match that begins here, stepped over; None when there is none."""
        found = pattern.match(self.text, self.at)
        if found is None or found.end() == self.at:
            return None
        self.at = found.end()
        return found

    def read(self) -> Line:
        """The whole line."""
        if hint := self.take(marks.HINT):
            self.line.hint = marks.HINTS[hint["hint"]]
        if self.take(marks.SETS_OF):
            self.line.most = "20"
        while self.at < len(self.text):
            if self.clause() or self.take_gap() or self.separator() or self.group():
                continue
            self.unread()
        return self.line

    def take_gap(self) -> bool:
        return self.take(marks.GAP) is not None

    def separator(self) -> bool:
        found = self.take(marks.SEPARATOR)
        if found:
            word = found["sep"]
            self.sep = "then" if word[0].isalpha() else word
        return bool(found)

    def unread(self) -> None:
        """Up to the next mark that could mean something again."""
        found = self.take(marks.UNREAD)
        piece = found[0] if found else self.text[self.at]
        self.at += 0 if found else 1
        if piece.strip(" ,;:@x"):
            self.line.unread.append(piece.strip(" ,;"))

    def group(self) -> bool:
        """A new group of sets: a count, a load, reps, in the orders they are written in."""
        made, start = Group(sep=self.sep), self.at
        if not self.take_list(made):
            count = self.take(marks.COUNT)
            made.count = count["count"] if count else ""
            if not (count and self.take_list(made)):
                self.first_part(made)
        if made.is_empty:
            self.at = start
            return False
        while self.later_part(made):
            pass
        last = self.line.groups[-1] if self.line.groups else None
        if last and last.load and not (self.sep or last.reps or last.count or made.load or made.loads):
            made.load = self.line.groups.pop().load  # '100 kg 5x5'
        elif last and not self.sep:
            # Two numbers side by side, '12 7': taken together they would be a third one.
            self.line.unread.append(self.text[start : self.at].strip(" ,;"))
            return True
        self.line.groups.append(made)
        self.sep = ""
        return True

    def take_list(self, made: Group) -> bool:
        """'80/65/50 kg'; small numbers without a unit are reps: '12/10/8'."""
        start, found = self.at, self.take(marks.SLASHED) if not self.line.groups else None
        if not found:
            return False
        if not re.search(r"[%a-z]", found["list"]) and not any(map(_high, found["list"].split("/"))):
            self.at = start
            return False
        made.loads = found["list"]
        return True

    def first_part(self, made: Group) -> None:
        if load := self.take(marks.LOAD):
            made.load, made.load_first = marks.load_text(load, self.unit), not made.count
        elif reps := self.take(marks.REPS):
            made.reps = marks.reps_text(reps)

    def later_part(self, made: Group) -> bool:
        """One more part of a group that lacks it; False when nothing more belongs to it."""
        if made.rir is None and self.reserve(made):
            return True
        if not (made.load or made.loads) and (load := self.take(marks.LATER_LOAD)):
            made.load = marks.load_text(load, self.unit)
        elif not made.reps and (reps := self.take(marks.TIMES_REPS) or self.take(marks.LATER_REPS)):
            made.reps = marks.reps_text(reps)
        elif made.load_first and made.reps and not made.count and (times := self.take(marks.TIMES)):
            made.count = times["count"]
        elif not made.side and (side := self.take(marks.SIDE)):
            made.side = side["side"][0]
        else:
            return False
        return True

    def reserve(self, made: Group) -> bool:
        found = self.take(marks.RIR)
        if found:
            made.rir = marks.rir_text(found)
            if not made.rir:
                self.line.unread.append(found[0].strip(" ,@"))
            return True
        has_load = made.load or made.loads or (made.count and _high(made.count))
        bare = self.take(marks.BARE_RIR) if has_load and made.reps else None
        if bare:
            made.rir = bare["rir"].replace(",", ".")
        return bool(bare)

    def clause(self) -> bool:
        """What is said of the sets as a whole, or once more of the last group."""
        line = self.line
        if rest := self.take(marks.REST) or self.take(marks.REST_BEHIND):
            seconds = marks.seconds_text(rest)
            if not seconds or line.rest not in ("", seconds):
                line.unread.append(rest[0].strip())
            line.rest = line.rest or seconds
        elif until := self.take(marks.UNTIL):
            line.until = f"{until['target']} {until['unit'] or self.unit}"
        elif most := self.take(marks.MOST):
            line.most = most["count"]
        elif not line.groups and not self.at_cluster():
            return False
        else:
            return self.set_clause() or bool(line.groups and self.sep != "/" and self.later_part(line.groups[-1]))
        return True

    def at_cluster(self) -> bool:
        return marks.CLUSTER.match(self.text, self.at) is not None

    def set_clause(self) -> bool:
        """Drops, bouts, a cluster or an open last set."""
        line = self.line
        if last := self.take(marks.LAST):
            line.last = (last["least"] or last["plus"] or "", last["rir"] or "")
        elif cluster := self.take(marks.CLUSTER):
            line.cluster = f"({cluster['list']}) {marks.seconds_text(cluster) or cluster['time']} s"
        else:
            return self.drops() or self.bouts()
        return True

    def drops(self) -> bool:
        found = marks.DROPS.match(self.text, self.at) if self.sep != "/" else None
        if not found or not (found["to"] or found["sign"] or found["way"]):
            return False
        self.at = found.end()
        self.line.drops = (marks.load_text(found, self.unit), found["count"])
        return True

    def bouts(self) -> bool:
        line = self.line
        if on := self.take(marks.ON_TO):
            line.bouts = f"to {on['total']} reps x {_pause(on)}"
        elif short := self.take(marks.SHORT_BOUTS):
            line.bouts = f"+{short['count']} x {_pause(short)}"
        elif more := self.take(marks.MORE_BOUTS):
            line.bouts = f"+{more['count']} x {_pause(more)}"
            if more["reps"]:
                line.bouts = " ".join([f"+{more['reps']}"] * min(int(more["count"]), 30)) + f"; {_pause(more)}"
        elif found := self.take(marks.LISTED_BOUTS) or self.take(marks.PLUS_BOUTS):
            parts = [part.strip() for part in found["list"].split("+")]
            line.bouts = f"{' '.join(f'+{part}' for part in parts if part)}; {_pause(found)}"
        else:
            return False
        return True


def _pause(found: Match[str]) -> str:
    return f"{marks.seconds_text(found) or found['time']} s"


def _high(number: str) -> bool:
    """Too many to be sets or reps of a list: it is a load."""
    return float(number.replace(",", ".")) > 20
