"""How every picture writes numbers, words and marks into SVG."""

from functools import lru_cache

from django.template.loader import render_to_string
from django.utils.html import escape


def px(value: float) -> str:
    """A coordinate with at most one decimal and no trailing zero."""
    text = f"{value:.1f}"
    return text[:-2] if text.endswith(".0") else text


def percent(part: float, whole: float) -> str:
    """A coordinate as a share of the drawing's width, so that the width may change and the words may not."""
    return f"{100 * part / whole:.2f}%" if whole else "0%"


def number(value: float, places: int = 1) -> str:
    """A number with at most `places` decimals and no trailing zeros."""
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def plural(count: float, noun: str) -> str:
    """'1 set', '3 sets', '2.5 sets'."""
    return f"{number(count)} {noun}{'' if count == 1 else 's'}"


def words(x: str, y: float, text: str, kind: str, more: str = "") -> str:
    """A word in the picture; `x` in any unit, `more` further attributes."""
    return f'<text class="{kind}" x="{x}" y="{px(y)}"{more}>{escape(text)}</text>'


@lru_cache(maxsize=8)
def mark(severity: str) -> str:
    """The mark of a severity, as everywhere else on the desk."""
    return render_to_string("components/_mark.html", {"severity": severity}).strip()
