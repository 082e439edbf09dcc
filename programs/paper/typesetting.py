"""Typst alone, so that a large file can be set in a process of its own: `python typesetting.py`, its job on stdin."""

import json
import sys
from functools import lru_cache
from typing import Any

import typst

STANDARD: Any = "ua-1"  # typst knows it; its types do not yet


@lru_cache(maxsize=1)
def _fonts(folder: str) -> Any:
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder])


def typeset(job: dict[str, str]) -> bytes:
    """The PDF of a job: `template`, `root` (all that can be read), `fonts`, `packages` (none) and `data` as JSON."""
    made: bytes = typst.compile(
        job["template"], root=job["root"], font_paths=_fonts(job["fonts"]), ignore_system_fonts=True, format="pdf",
        sys_inputs={"data": job["data"]}, pdf_standards=[STANDARD], package_path=job["packages"],
    )  # fmt: skip
    return made


if __name__ == "__main__":
    sys.stdout.buffer.write(typeset(json.load(sys.stdin)))
