"""Setting pages as PDF with Typst: tagged (PDF/UA-1), with the desk's own fonts, nothing fetched."""

import json
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

import typst

from coachdesk.env import BASE
from programs.paper.density import AREA
from programs.paper.glyphs import FONTS, told

# Templates and what they import; nothing outside this folder can be read, and no package is ever looked for here.
ROOT = BASE / "templates" / "programs"
NO_PACKAGES = ROOT / "no-packages"
PAPERS = {"a4": "a4", "letter": "us-letter"}
STANDARD: Any = "ua-1"  # typst knows it; its types do not yet


@lru_cache(maxsize=1)
def _fonts() -> Any:
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)])


def sheets_pdf(pages: Sequence[Mapping[str, Any]], *, title: str, paper: str) -> bytes:
    """Every page of `programs.paper.pages` as a side or more of its own."""
    values = {"title": title, "paper": PAPERS[paper], "width": AREA[paper][1], "pages": list(pages)}
    return set_pdf("sheet.typ", values)


def together_pdf(pages: Sequence[Mapping[str, Any]], *, title: str, paper: str) -> bytes:
    """Every page of `programs.paper.together`, landscape."""
    return set_pdf("sheet_together.typ", {"title": title, "paper": PAPERS[paper], "pages": list(pages)})


def set_pdf(template: str, values: Mapping[str, Any]) -> bytes:
    """A template filled with plain values. They go in as data, so no text of theirs can be taken for markup."""
    data = json.dumps(told(dict(values)), ensure_ascii=False)
    made: bytes = typst.compile(
        str(ROOT / template), root=str(ROOT), font_paths=_fonts(), ignore_system_fonts=True, format="pdf",
        sys_inputs={"data": data}, pdf_standards=[STANDARD], package_path=str(NO_PACKAGES),
    )  # fmt: skip
    return made
