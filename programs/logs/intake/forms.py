"""The preview of an import as a form: the file it carries, how its columns are matched, and the answers."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from coachdesk.practice.text import fold
from programs.intake.forms import ConfirmForm
from programs.logs.intake.columns import NAMES
from programs.logs.intake.days import ORDERS
from programs.logs.intake.plan import LEFT_OUT, Answers

MOST_TYPED = 80


class PreviewForm(ConfirmForm):
    """The file, and what was said about it: column-<n>, order, word-<n> beside asked-<n>, unit-<client id>."""

    digest = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput())

    def columns(self, count: int) -> list[str] | None:
        """The columns as chosen by hand, one for each heading; None when none was chosen yet."""
        if "column-0" not in self.data:
            return None
        typed = [self.data.get(f"column-{n}", "") for n in range(count)]
        return [name if name in NAMES else "" for name in typed]

    @property
    def answers(self) -> Answers:
        """What was answered; anything else than an offered answer is none."""
        order = self.data.get("order", "")
        units = {
            int(name[5:]): value for name, value in self.data.items()
            if name.startswith("unit-") and name[5:].isascii() and name[5:].isdigit() and len(name) < 24
            and value in ("kg", "lb")
        }  # fmt: skip
        return Answers(order if order in ORDERS else "", self._words(), units)

    def _words(self) -> dict[str, str]:
        found = {}
        for name, word in self.data.items():
            if name.startswith("asked-") and isinstance(word, str):
                left_out = self.data.get(f"left-{name[6:]}")
                answer = LEFT_OUT if left_out else str(self.data.get(f"word-{name[6:]}", "")).strip()[:MOST_TYPED]
                if answer:
                    found[fold(word[:120])] = answer
        return found


def kept_answers(typed: Answers, words: Mapping[str, str]) -> Answers:
    """The answers, with the wordings of earlier imports behind them."""
    return Answers(typed.order, {**words, **typed.words}, typed.units)


def matching(heading: Sequence[str], chosen: Sequence[str]) -> list[dict[str, Any]]:
    """Each heading of the file with the column it is taken for."""
    return [{"n": n, "cell": cell, "name": chosen[n]} for n, cell in enumerate(heading)]
