"""A session sheet fills exactly one side of A4 or Letter, up to the limits that sheet.css states."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

CSS = Path(__file__).parents[2] / "static" / "css"
STYLES = "".join((CSS / f"{name}.css").read_text() for name in ("tokens", "base", "words", "sheet", "print"))
FORMATS = ("A4", "Letter")
ROW = (
    '<tr><th class="set-no">1</th><td class="load">72.5</td><td class="setup">20 + 5 + 1.25</td>'
    '<td class="num">6-8</td><td class="num rir">2</td>' + '<td class="write"></td>' * 3 + "</tr>"
)
HEAD = "<thead>" + re.sub(r"<(/?)td", r"<\1th", ROW) + "</thead>"
CAUTION = "Stop and tell your coach or a doctor at chest pain, faintness or unusual breathlessness. " * 4


def sheet(rows: int, lifts: int, density: str = "") -> str:
    """A page with one sheet: so many rows of sets in all, spread over so many lifts."""
    counts = [rows // lifts + (number < rows % lifts) for number in range(lifts)]
    blocks = "".join(
        '<section class="lift"><header class="lift-head"><h3 class="lift-name">Bench press</h3>'
        '<p class="warmups">Warm-up: 20 kg x 10, 40 kg x 5</p><p class="lift-note">rest 3 min</p></header>'
        f'<table class="sheet-table">{HEAD}<tbody>{ROW * count}</tbody></table></section>'
        for count in counts
    )
    return (
        f'<style>{STYLES}</style><article class="sheet {density}"><header class="sheet-head">'
        '<h2 class="sheet-name">Amara Tolledo</h2><p class="sheet-what">Upper A, Tue 24 Nov</p>'
        '<dl class="facts"><div><dt>Place</dt><dd>Full gym</dd></div>'
        "<div><dt>Started</dt><dd></dd></div></dl>"
        f'</header><div class="lifts">{blocks}</div><footer class="sheet-end"><div>'
        f'<p class="cautions">{CAUTION}</p><p class="made">Made Tue 24 Nov.</p></div>'
        '<svg class="qr" viewBox="0 0 1 1"></svg></footer></article>'
    )


def sides(page: Page, html: str, paper: str) -> int:
    """Number of sides the page prints on."""
    page.set_content(html)
    margin = {"top": "10mm", "right": "10mm", "bottom": "10mm", "left": "10mm"}
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", page.pdf(format=paper, margin=margin)))


@pytest.fixture(scope="module")
def paper_page(browser: Browser) -> Iterator[Page]:
    page = browser.new_page()
    yield page
    page.close()


@pytest.mark.browser
@pytest.mark.parametrize("paper", FORMATS)
@pytest.mark.parametrize(
    ("rows", "lifts", "density"),
    [
        (25, 4, ""),
        (21, 7, ""),
        (14, 12, ""),
        (33, 4, "dense"),
        (29, 7, "dense"),
        (22, 12, "dense"),
        (60, 5, "dense two-up"),
        (54, 7, "dense two-up"),
        (43, 12, "dense two-up"),
    ],
)
def test_sheet_within_its_limit_prints_on_one_side(
    paper_page: Page, paper: str, rows: int, lifts: int, density: str
) -> None:
    assert sides(paper_page, sheet(rows, lifts, density), paper) == 1


@pytest.mark.browser
@pytest.mark.parametrize("paper", FORMATS)
def test_sheet_far_beyond_its_limit_needs_another_side(paper_page: Page, paper: str) -> None:
    # Nothing is cut off to keep to one side: a load that is not on the paper is worse than a second side.
    assert sides(paper_page, sheet(60, 5), paper) > 1


@pytest.mark.browser
def test_two_sheets_print_on_two_sides(paper_page: Page) -> None:
    both = sheet(20, 5) + sheet(20, 5)
    assert sides(paper_page, both, "A4") == 2


@pytest.mark.browser
def test_loads_are_the_largest_figures_and_nothing_is_under_nine_points(paper_page: Page) -> None:
    paper_page.set_content(sheet(6, 2))
    paper_page.emulate_media(media="print")
    sizes = paper_page.evaluate(
        "[...document.querySelectorAll('.lift:first-child *, .sheet-head *, .sheet-end p')]"
        ".filter(e => e.textContent.trim() && !e.children.length && !e.closest('.lift:nth-child(n+2) thead'))"
        ".map(e => [e.className, parseFloat(getComputedStyle(e).fontSize) * 0.75])"
    )
    points = sorted({round(size, 2) for _, size in sizes})
    assert points[0] >= 9
    assert points[-1] == 14
    assert {name for name, size in sizes if round(size, 2) == 14} == {"load", "sheet-name"}
