"""Bad CSV files made from a table of faults, the same ones every time: (name, bytes) of each."""

import gzip
import io
import json
import random
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass

BadFile = tuple[str, bytes]

# Written as numbers by people, by spreadsheets and by attackers; none is a number that can be kept anywhere.
NUMBERS = {
    "too-large-a-power": "1e400", "nan": "NaN", "minus-zero": "-0", "infinity": "inf", "minus-infinity": "-Infinity",
    "hex": "0x50", "forty-digits": "9" * 40, "formula": "=1+2", "plus-formula": "+1+2", "at-formula": "@SUM(A1)",
    "link-formula": '=HYPERLINK("x")', "two-points": "1.2.3", "words": "six", "either": "6 or 7", "half": "\u00bd",
    "power-digit": "8\u00b2", "underscore": "1_0", "binary": "0b11", "negative": "-5.5", "percent": "80%",
    "question": "?", "boolean": "TRUE", "spreadsheet-error": "#N/A", "bidi": "\u202e08", "space-inside": "1 0",
}  # fmt: skip
DAYS = {
    "no-such-day": "2026-02-30", "no-such-month": "2026-13-01", "day-zero": "2026-11-00", "year-zero": "0000-01-01",
    "five-digit-year": "20266-11-01", "two-digit-year": "01.11.26", "future": "2099-01-01", "ancient": "0999-12-31",
    "words": "last Tuesday", "serial": "45987", "float-serial": "45987.5", "month-only": "2026-11",
    "leap": "2025-02-29", "backslashes": "2026\\11\\20", "full-width": "\uff12\uff10\uff12\uff16-11-20",
    "unix-time": "1795996800", "huge": "9" * 40, "negative": "-2026-11-20", "week": "2026-W47-5",
    "no-such-hour": "2026-11-20T25:00", "not-a-zone": "2026-11-20T10:00+99:00",
}  # fmt: skip


@dataclass(frozen=True)
class Kind:
    """A kind of file: its heading, a good row by column, and which columns hold what."""

    good: dict[str, str]
    numbers: tuple[str, ...]
    days: tuple[str, ...]
    required: tuple[str, ...]
    names: tuple[str, ...]

    @property
    def heading(self) -> list[str]:
        return list(self.good)

    def text(self, *rows: dict[str, str], end: str = "\r\n") -> str:
        lines = [",".join(self.heading), *(self.line(row) for row in ({}, *rows))]
        return end.join(lines) + end

    def line(self, changed: dict[str, str]) -> str:
        return ",".join(_quoted(changed.get(name, value)) for name, value in self.good.items())


def _quoted(cell: str) -> str:
    return '"' + cell.replace('"', '""') + '"' if any(c in cell for c in ',"\r\n') else cell


SETS = Kind(
    {"client": "Rosa Lind", "done_on": "2026-11-20", "exercise": "Bench press", "set": "1", "step": "1", "load": "60",
     "reps": "8", "rir": "2", "minutes": "60", "rating": "7"},
    ("load", "reps", "rir", "set", "step", "minutes", "rating"), ("done_on",),
    ("client", "done_on", "exercise", "reps"), ("client", "exercise"),
)  # fmt: skip
CLIENTS = Kind(
    {"name": "Rosa Lind", "born_on": "1984-03-31", "days_per_week": "3", "minutes_per_session": "60",
     "exercise": "Bench press", "load": "60", "reps": "8", "tested_on": "2026-11-02"},
    ("load", "reps", "days_per_week", "minutes_per_session"), ("born_on", "tested_on"), ("name",), ("name", "exercise"),
)  # fmt: skip


def bad_cells(kind: Kind) -> Iterator[BadFile]:
    """A good row, then one with one bad cell; each in another encoding and with other line ends, in turn."""
    writings = [("utf-8", "\r\n"), ("utf-8-sig", "\n"), ("utf-16", "\r\n"), ("utf-16-le", "\n"), ("utf-8", "\r")]
    faults = [(column, fault, value) for column in kind.numbers for fault, value in NUMBERS.items()]
    faults += [(column, fault, value) for column in kind.days for fault, value in DAYS.items()]
    # A second client, so that what has to be alike for one person or session is not what is wrong.
    other = {kind.heading[0]: "Tom Berg"}
    for n, (column, fault, value) in enumerate(faults):
        codec, end = writings[n % len(writings)]
        text = kind.text({**other, column: value}, end=end)
        yield f"{column}-{fault}-{codec}", text.encode(codec)


def bad_rows(kind: Kind) -> Iterator[BadFile]:
    """Rows too long, cells blank, too long, with NUL or piled marks, unknown names."""
    good = kind.line({})
    yield "one-cell-too-many", kind.text().encode() + good.encode() + b",extra\r\n"
    yield "many-cells-too-many", kind.text().encode() + good.encode() + b",x" * 500 + b"\r\n"
    yield "mixed-line-ends", f"{','.join(kind.heading)}\n{good}\r\n{good},x\r{good}\n".encode()
    for column in kind.names:
        for fault, value in {
            "blank": "", "nul": "Ro\x00sa", "huge": "x" * 5000, "marks": "e" + "\u0301" * 40, "unknown": "Zz yx 17",
            "formula": '=cmd|"/c calc"!A1', "only-marks": "\u0301" * 12, "only-controls": "\x00\x01\x02",
        }.items():  # fmt: skip
            if (column, fault) not in {("name", "unknown"), ("name", "formula"), ("exercise", "blank")} or kind is SETS:
                yield f"{column}-{fault}", kind.text({column: value, "load": "61"}).encode()
    yield "quote-in-the-middle", kind.text().encode() + b'Ro"sa",x' + b"\r\n" + b'"unclosed'


def bad_wholes(kind: Kind) -> Iterator[BadFile]:
    """What is no table, or a table that lacks or doubles a column."""
    good, heading = kind.text(), ",".join(kind.heading)
    yield from _other_kinds(good.encode()).items()
    yield from _wrong_bytes(good).items()
    yield from _no_table(kind, good.encode(), heading.encode()).items()
    separators = {"pipes": "|", "spaces": " ", "colons": ":", "carets": "^", "unit-separators": "\x1f"}
    for name, separator in separators.items():
        yield f"separated-by-{name}", good.replace(",", separator).encode()
    for column in kind.heading:
        first, *rest = good.splitlines()
        yield f"two-of-{column}", "\n".join([f"{first},{column}", *(f"{row}," for row in rest)]).encode()
    for column in kind.required:
        yield f"without-{column}", good.replace(column, f"zz{column}", 1).encode()
    for seed in range(12):
        yield f"random-{seed}", random.Random(seed).randbytes(400 + 37 * seed)


def _other_kinds(good: bytes) -> dict[str, bytes]:
    every = bytes(range(256))
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as made:
        made.writestr(zipfile.ZipInfo("sheet.xml", (2026, 1, 1, 0, 0, 0)), good)
    return {
        "zip": archive.getvalue(),
        "gzip": gzip.compress(good, mtime=0),
        "png": b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + every * 8,
        "pdf": b"%PDF-1.7\n" + good,
        "jpeg": b"\xff\xd8\xff\xe0\x00\x10JFIF\x00" + every * 4,
        "gif": b"GIF89a" + every * 4,
        "elf": b"\x7fELF\x02\x01\x01" + bytes(200),
        "database": b"SQLite format 3\x00" + every * 4,
        "old-workbook": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
        "json": json.dumps({"client": "Rosa Lind"}).encode(),
        "html": b"<table><tr><td>" + good + b"</table>",
        "xml": b"<?xml version='1.0'?><rows/>",
        "yaml": b"- client: Rosa\n  reps: 8\n",
        "mail": b"From: a@example.org\r\nSubject: sets\r\n\r\nHello\r\n",
    }


def _wrong_bytes(good: str) -> dict[str, bytes]:
    return {
        "zeros": bytes(3000),
        "nul-in-every-cell": good.replace(",", "\x00,").encode(),
        "utf-16-odd": good.encode("utf-16")[:-1],
        "utf-16-be-odd": b"\xfe\xff" + good.encode("utf-16-be") + b"\x00",
        "utf-16-no-bom-odd": good.encode("utf-16-le")[:-1],
        "utf-16-lone-surrogate": b"\xff\xfe" + good.encode("utf-16-le") + b"\x00\xd8\n\x00",
        "utf-32": good.encode("utf-32"),
        "ebcdic": good.encode("cp500"),
        "undefined-in-cp1252": good.encode() + b"Ros\x81\x8d,\r\n",
    }


def _no_table(kind: Kind, good: bytes, heading: bytes) -> dict[str, bytes]:
    row = kind.line({}).encode() + b"\n"
    return {
        "empty": b"",
        "only-a-bom": b"\xef\xbb\xbf",
        "only-a-utf-16-bom": b"\xff\xfe",
        "only-line-ends": b"\r\n" * 40,
        "only-blanks": b"   \n  \n",
        "only-commas": b",,,,\n" * 30,
        "heading-only": heading + b"\r\n",
        "no-heading": row,
        "unclosed-quote": good + b'"Rosa Lind,2026',
        "quote-then-text": good + b'"Rosa"x,1\r\n',
        "too-large": b"x" * (5 * 1024 * 1024 + 1),
        "too-many-rows": heading + b"\n" + row * 20_001,
        "million-columns": b"a," * 1_000_000,
        "huge-heading": b"a" * 1_000_000 + b"\n1\n",
        "huge-field": heading + b"\n" + b"y" * 1_000_000 + b"\n",
    }


def bad_files(kind: Kind) -> list[BadFile]:
    """All of them."""
    return [*bad_cells(kind), *bad_rows(kind), *bad_wholes(kind)]
