"""The colours of tokens.css against the contrast that WCAG 2.2 asks for: 4.5:1 for text, 3:1 for parts.

Formula: WCAG 2.2, definitions of "relative luminance" and "contrast ratio"; thresholds: success criteria
1.4.3 and 1.4.11.
"""

import re
from pathlib import Path

import pytest

CSS = Path(__file__).parents[2] / "static" / "css"
SEVERITIES = ("stop", "check", "note")
SERIES = ("series-1", "series-2", "series-3", "series-4", "series-5")
TEXT = ("ink", "muted", "accent", *SEVERITIES)
PARTS = ("edge", "rule", "accent")


def luminance(colour: str) -> float:
    """Relative luminance, 0 to 1, of '#RRGGBB'."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21, of two colours in either order."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def read_tokens() -> dict[str, dict[str, str]]:
    """The hexadecimal tokens by scheme; dark ones lie over the light ones, as in the browser."""
    text = (CSS / "tokens.css").read_text()
    light, dark = text.split("@media (prefers-color-scheme: dark)")
    dark = dark.split("@media")[0]
    found = re.compile(r"--([\w-]+):\s*(#[0-9A-Fa-f]{6});")
    first = dict(found.findall(light))
    return {"light": first, "dark": first | dict(found.findall(dark))}


TOKENS = read_tokens()


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [("#000000", "#FFFFFF", 21.0), ("#767676", "#FFFFFF", 4.54), ("#777777", "#FFFFFF", 4.48)],
)
def test_contrast_gives_published_ratios(one: str, other: str, ratio: float) -> None:
    # 21:1 stands in WCAG's own definition; the two greys are the usual pass and fail on white (from memory).
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize(
    ("scheme", "name", "colour", "ratio"),
    [
        ("light", "ink", "#1B1F24", 15.9),
        ("light", "muted", "#565D67", 6.4),
        ("light", "accent", "#0B5C6B", 7.3),
        ("dark", "ink", "#E8E6E1", 14.4),
        ("dark", "muted", "#A5ABB3", 7.8),
        ("dark", "accent", "#62C6D6", 9.0),
    ],
)
def test_main_colours_are_the_chosen_ones(scheme: str, name: str, colour: str, ratio: float) -> None:
    # The design's own choice, not a published value; the ratio follows from the formula, to a tenth.
    tokens = TOKENS[scheme]
    assert tokens[name] == colour
    assert contrast(tokens[name], tokens["paper"]) == pytest.approx(ratio, abs=0.06)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("paper", ["paper", "paper-alt"])
@pytest.mark.parametrize("name", TEXT)
def test_text_stands_out_from_its_paper(scheme: str, paper: str, name: str) -> None:
    assert contrast(TOKENS[scheme][name], TOKENS[scheme][paper]) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_on_a_filled_button_stand_out(scheme: str) -> None:
    assert contrast(TOKENS[scheme]["on-accent"], TOKENS[scheme]["accent"]) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", SERIES)
def test_names_at_the_lines_of_a_chart_stand_out(scheme: str, name: str) -> None:
    assert contrast(TOKENS[scheme][name], TOKENS[scheme]["paper"]) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("paper", ["paper", "paper-alt"])
@pytest.mark.parametrize("name", PARTS)
def test_parts_stand_out_from_their_paper(scheme: str, paper: str, name: str) -> None:
    assert contrast(TOKENS[scheme][name], TOKENS[scheme][paper]) >= 3


def test_colours_are_named_in_tokens_and_print_only() -> None:
    others = [path for path in CSS.glob("*.css") if path.name not in ("tokens.css", "print.css")]
    assert others
    named = {path.name for path in others if re.search(r":[^;{]*(#[0-9a-fA-F]{3,8}\b|\brgb|\bhsl)", path.read_text())}
    assert named == set()
