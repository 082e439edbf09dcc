"""What the content security policy forbids must not stand in a template; what one names must exist."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TEMPLATES = sorted(path for path in (ROOT / "templates").rglob("*") if path.is_file())

# One pattern per thing that a policy of files from the own host would refuse, or that needs eval.
FORBIDDEN = {
    "style attribute": r"<[^>]*\sstyle\s*=",
    "style element": r"<style\b",
    "inline script": r"<script\b(?![^>]*\bsrc=)(?![^>]*type=[\"']application/json[\"'])",
    "event attribute": r"<[^>]*\son[a-z]+\s*=",
    "htmx event attribute": r"\bhx-on\b",
    "computed htmx value": r"hx-(vals|headers)\s*=\s*[\"'](js|javascript):",
    "script address": r"(href|src|action)\s*=\s*[\"']\s*javascript:",
    "foreign host": r"(src|href)\s*=\s*[\"'](https?:)?//",
}

SAMPLES = {
    "style attribute": '<p class="a" style="color: red">',
    "style element": "<style>p { color: red }</style>",
    "inline script": "<script>alert(1)</script>",
    "event attribute": '<button id="a" onclick="go()">',
    "htmx event attribute": '<form hx-on:submit="go()">',
    "computed htmx value": "<form hx-vals='js:{a: 1}'>",
    "script address": '<a href="javascript:go()">',
    "foreign host": '<script src="https://cdn.example/x.js"></script>',
}


def violations(text: str) -> set[str]:
    """Names of the patterns found in one template's text."""
    return {name for name, pattern in FORBIDDEN.items() if re.search(pattern, text, re.IGNORECASE)}


@pytest.mark.parametrize("name", FORBIDDEN)
def test_violations_finds_each_kind(name: str) -> None:
    assert name in violations(SAMPLES[name])


def test_violations_allows_data_and_files() -> None:
    allowed = '<script type="application/json" id="c1">{}</script><script src="/static/js/cells.js" defer></script>'
    assert violations(allowed) == set()


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_template_holds_to_the_policy(path: Path) -> None:
    assert violations(path.read_text()) == set()


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_static_files_named_in_a_template_exist(path: Path) -> None:
    text = path.read_text()
    named = re.findall(r"{%\s*static\s+['\"]([^'\"]+)['\"]", text) + re.findall(r"[\"']/static/([^\"']+)", text)
    assert [name for name in named if not (ROOT / "static" / name).is_file()] == []


@pytest.mark.parametrize("name", ["500.html", "403_csrf.html"])
def test_pages_for_failures_need_no_context(name: str) -> None:
    # They are shown when nothing else works: no database, no context processor, no other template.
    assert re.search(r"{[%{]", (ROOT / "templates" / name).read_text()) is None
