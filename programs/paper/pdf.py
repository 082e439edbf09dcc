"""Setting pages as PDF with Typst: tagged (PDF/UA-1), with the desk's own fonts, nothing fetched."""

import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from typing import Any

from coachdesk.env import BASE
from programs.paper import typesetting
from programs.paper.density import AREA
from programs.paper.glyphs import FONTS, told

# Templates and what they import; nothing outside this folder can be read, and no package is ever looked for here.
ROOT = BASE / "templates" / "programs"
NO_PACKAGES = ROOT / "no-packages"
PAPERS = {"a4": "a4", "letter": "us-letter"}
# Typst keeps what it laid out: more pages than this are set in a process that ends, and with it what they held.
MOST_HERE = 20
LONGEST_S = 300


def sheets_pdf(pages: Sequence[Mapping[str, Any]], *, title: str, paper: str) -> bytes:
    """Every page of `programs.paper.pages` as a side or more of its own."""
    values = {"title": title, "paper": PAPERS[paper], "width": AREA[paper][1], "pages": list(pages)}
    return set_pdf("sheet.typ", values, apart=len(pages) > MOST_HERE)


def together_pdf(pages: Sequence[Mapping[str, Any]], *, title: str, paper: str) -> bytes:
    """Every page of `programs.paper.together`, landscape."""
    values = {"title": title, "paper": PAPERS[paper], "pages": list(pages)}
    return set_pdf("sheet_together.typ", values, apart=len(pages) > MOST_HERE)


def set_pdf(template: str, values: Mapping[str, Any], *, apart: bool = False) -> bytes:
    """A template filled with plain values. They go in as data, so no text of theirs can be taken for markup.

    `apart`: in a process of its own. Raises RuntimeError when that one fails, without a word of what it was given.
    """
    job = {
        "template": str(ROOT / template), "root": str(ROOT), "fonts": str(FONTS), "packages": str(NO_PACKAGES),
        "data": json.dumps(told(dict(values)), ensure_ascii=False),
    }  # fmt: skip
    return _set_apart(job) if apart else typesetting.typeset(job)


def _set_apart(job: Mapping[str, str]) -> bytes:
    # -P: the neighbours of that file are no modules to it.
    command = [sys.executable, "-P", str(typesetting.__file__)]
    done = subprocess.run(command, input=json.dumps(job).encode(), capture_output=True, timeout=LONGEST_S, check=False)
    if done.returncode != 0:
        raise RuntimeError(f"Setting {job['template']} ended with {done.returncode}.")
    return done.stdout
