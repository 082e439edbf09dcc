"""Text as the sheet's own typeface can set it: what it lacks becomes a hollow box, never an error."""

import re
import struct
import unicodedata
from functools import lru_cache

from coachdesk.env import BASE

FONTS = BASE / "static" / "fonts"
FACES = ("desk-sans-regular.ttf", "desk-sans-semibold.ttf")
BOX, BREAK = "\u25a1", "\u200b"
# A run without a space that is longer than this may be broken, so that it stays on the paper.
LONGEST_RUN = 24
# Most text needs nothing: letters, digits and signs that any face has, in words of usual length.
PLAIN, ENDLESS = re.compile(r"[ -~]*"), re.compile(rf"\S{{{LONGEST_RUN}}}")


@lru_cache(maxsize=1)
def covered() -> frozenset[int]:
    """The code points that every face of the sheet has a glyph for."""
    faces = [_code_points((FONTS / name).read_bytes()) for name in FACES]
    return frozenset.intersection(*faces)


def _code_points(font: bytes) -> frozenset[int]:
    """What a TrueType file maps to glyphs: its 'cmap' table, formats 4 and 12 (OpenType specification, cmap)."""
    tables = (struct.unpack_from(">4s4xI", font, 12 + 16 * n) for n in range(struct.unpack_from(">H", font, 4)[0]))
    cmap = dict(tables)[b"cmap"]
    starts = [
        cmap + struct.unpack_from(">4xI", font, cmap + 4 + 8 * n)[0]
        for n in range(struct.unpack_from(">H", font, cmap + 2)[0])
    ]
    found: set[int] = set()
    for at in dict.fromkeys(starts):
        form = struct.unpack_from(">H", font, at)[0]
        found |= _segments(font, at) if form == 4 else _groups(font, at) if form == 12 else set()
    return frozenset(found - {0xFFFF})


def _segments(font: bytes, at: int) -> set[int]:
    count = struct.unpack_from(">H", font, at + 6)[0] // 2
    ends = struct.unpack_from(f">{count}H", font, at + 14)
    starts = struct.unpack_from(f">{count}H", font, at + 16 + 2 * count)
    return {code for first, last in zip(starts, ends, strict=True) for code in range(first, last + 1)}


def _groups(font: bytes, at: int) -> set[int]:
    found: set[int] = set()
    for n in range(struct.unpack_from(">I", font, at + 12)[0]):
        first, last = struct.unpack_from(">II", font, at + 16 + 12 * n)
        found |= set(range(first, last + 1))
    return found


def printable(text: str) -> str:
    """The text with spaces for line ends and tabs, without unseen signs, and with boxes for what cannot be set."""
    if PLAIN.fullmatch(text) and not ENDLESS.search(text):
        return text
    made, run = [], 0
    for char in unicodedata.normalize("NFC", text):
        sign = _sign(char)
        run = 0 if sign.isspace() or sign == BREAK else run + len(sign)
        made.append(sign)
        if run >= LONGEST_RUN and sign:
            made.append(BREAK)
            run = 0
    return "".join(made)


@lru_cache(maxsize=4096)
def _sign(char: str) -> str:
    if char.isspace():
        return " " if char not in "\u00a0\u202f\u2009" else char
    if unicodedata.category(char) in ("Cc", "Cf") or 0xFE00 <= ord(char) <= 0xFE0F:
        return ""
    return char if ord(char) in covered() else BOX


def told(values: object) -> object:
    """Plain values with every text made printable."""
    if isinstance(values, str):
        return printable(values)
    if isinstance(values, dict):
        return {key: told(one) for key, one in values.items()}
    return [told(one) for one in values] if isinstance(values, (list, tuple)) else values
