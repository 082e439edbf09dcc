"""From the bytes of a file to rows of named cells, without knowing what the cells mean."""

import base64
import binascii
import csv
import io
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.core.exceptions import ValidationError

from coachdesk.practice.text import clean_text, few_marks, fold
from programs.intake.columns import MOST_BYTES, MOST_ROWS, NAMES

MOST_CELL = 4000
# Far more than there are; a heading of millions of commas is no table.
MOST_COLUMNS = 100
DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs"}
_ZIP, _PDF = b"PK\x03\x04", b"%PDF"


class NoTableError(ValueError):
    """The file as a whole cannot be read; the sentence says why and what would be right."""


@dataclass(frozen=True)
class RowError:
    """One thing wrong: the line of the file, the column, the value, and the reason."""

    line: int
    column: str
    value: str
    reason: str


@dataclass(frozen=True)
class Row:
    """One row of the file: the line it begins on and its cells by column; missing cells are ''."""

    line: int
    cells: dict[str, str]


@dataclass(frozen=True)
class Table:
    """The rows, how the file was read (for the person to check), and what was wrong cell by cell."""

    rows: tuple[Row, ...]
    encoding: str
    delimiter: str
    errors: tuple[RowError, ...]


def decode(data: bytes) -> tuple[str, str]:
    """(text, encoding in words) of UTF-8, UTF-16 or Windows-1252 bytes. NoTableError for anything else."""
    if len(data) > MOST_BYTES:
        raise NoTableError(f"The file is {len(data) / 1024**2:.1f} MB; at most {MOST_BYTES // 1024**2} MB can be read.")
    if data.startswith((_ZIP, _PDF)):
        raise NoTableError(
            "This is a workbook, an archive or a PDF, not text; save the table as CSV and choose that file."
        )
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _decoded(data, "utf-16", "UTF-16")
    # Without its mark UTF-16 shows by a zero beside nearly every letter.
    for offset, codec in ((1, "utf-16-le"), (0, "utf-16-be")):
        every_second = data[offset:400:2]
        if len(every_second) > 3 and every_second.count(0) > 0.9 * len(every_second):
            return _decoded(data, codec, "UTF-16")
    try:
        return data.decode("utf-8-sig"), "UTF-8"
    except UnicodeDecodeError:
        return _decoded(data, "cp1252", "Windows-1252")


def _decoded(data: bytes, codec: str, words: str) -> tuple[str, str]:
    try:
        return data.decode(codec), words
    except UnicodeDecodeError as problem:
        line = data[: problem.start].count(b"\n") + 1
        raise NoTableError(
            f"Line {line} holds bytes that are neither UTF-8, UTF-16 nor Windows-1252 text; save the file as CSV UTF-8."
        ) from None


Header = Callable[[list[str]], list[str]]


def heading_of(text: str) -> list[str]:
    """The cells of the first line as they stand, at most 100. NoTableError when it cannot be read."""
    return _open(text)[1]


def _open(text: str) -> tuple[str, list[str], Iterator[tuple[int, list[str]]]]:
    """(delimiter, heading, the other records)."""
    text = text.removeprefix("\ufeff")
    first = text.lstrip("\r\n").split("\n", 1)[0]
    delimiter = max(DELIMITERS, key=first.count)
    lines = _records(text, delimiter)
    cells = next(lines, (1, []))[1]
    while cells and not cells[-1].strip():
        cells.pop()
    return delimiter, cells[:MOST_COLUMNS], lines


def read_table(
    text: str, encoding: str = "UTF-8", *, header: Header | None = None, holds: str = "client and lift"
) -> Table:
    """The file's rows. NoTableError when there is no table in it; wrong cells are listed in `errors`.

    `header`: from the cells of the heading to the names of the columns, '' for one that is not read; it may raise
    NoTableError. `holds`: what a row is one of, in words.
    """
    delimiter, heading, lines = _open(text)
    names = (header or _header)(heading)
    rows: list[Row] = []
    errors: list[RowError] = []
    for line, cells in lines:
        if not any(cell.strip() for cell in cells):
            continue
        if len(rows) == MOST_ROWS:
            raise NoTableError(f"The file has more than {MOST_ROWS:,} rows; read it in parts.")
        if any(cell.strip() for cell in cells[len(names) :]):
            extra = next(cell for cell in cells[len(names) :] if cell.strip())
            errors.append(RowError(line, "", shown(extra), f"is one cell too many; the heading has {len(names)}"))
        row = Row(line, {name: cell.strip() for name, cell in zip(names, cells, strict=False) if name})
        errors.extend(_cell_errors(row))
        rows.append(row)
    if not rows and not errors:
        raise NoTableError(f"The file has a heading but no rows; put one row for each {holds} under it.")
    return Table(tuple(rows), encoding, DELIMITERS[delimiter], tuple(errors))


def _records(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    # newline="" keeps line breaks inside quoted cells; strict finds a quote that is never closed.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as problem:
            raise NoTableError(f"The row that begins on line {line} cannot be read as CSV: {problem}.") from None
        if cells:
            yield line, cells


def _header(cells: list[str]) -> list[str]:
    names = [fold(cell[:80]).replace(" ", "_").replace("-", "_") for cell in cells]
    known = ", ".join(NAMES)
    if "name" not in names:
        raise NoTableError(f"The first line has no column 'name'; it should name the columns, some of: {known}.")
    for place, name in enumerate(names, start=1):
        if name not in NAMES:
            said = f"'{shown(cells[place - 1])}'" if name else "blank"
            raise NoTableError(f"The heading of column {place} is {said}; the columns are: {known}.")
    doubled = sorted({name for name in names if names.count(name) > 1})
    if doubled:
        raise NoTableError(f"The column '{doubled[0]}' is there twice; keep one of them.")
    return names


def _cell_errors(row: Row) -> list[RowError]:
    errors = []
    for name, cell in row.cells.items():
        if "\x00" in cell:
            errors.append(RowError(row.line, name, shown(cell), "holds a NUL character; take it out"))
        elif len(cell) > MOST_CELL:
            reason = f"is {len(cell):,} characters long; at most {MOST_CELL:,} can be kept"
            errors.append(RowError(row.line, name, shown(cell), reason))
        else:
            errors.extend(_mark_errors(row.line, name, cell))
    return errors


def _mark_errors(line: int, name: str, cell: str) -> list[RowError]:
    if cell.isascii():
        return []
    try:
        few_marks(clean_text(cell))
    except ValidationError as problem:
        return [RowError(line, name, shown(cell), " ".join(problem.messages))]
    return []


def shown(value: str) -> str:
    """A value as it may stand in a message: short, NULs and piled marks made visible."""
    text = "".join(char if char.isprintable() else "\ufffd" for char in value[:40])
    try:
        few_marks(text)
    except ValidationError:
        text = text[:9]
    return text + ("..." if len(value) > len(text) else "")


def pack(text: str) -> str:
    """The file's text for a hidden field of the preview page, so that confirming needs no second upload."""
    return base64.b64encode(zlib.compress(text.encode("utf-8"), 6)).decode("ascii")


def unpack(packed: str) -> str:
    """The text again. NoTableError when it is no packed file, or unpacks to more than a file may hold."""
    try:
        made = zlib.decompressobj()
        # UTF-16 or Windows-1252 bytes may grow as UTF-8, at most threefold.
        data = made.decompress(base64.b64decode(packed, validate=True), 3 * MOST_BYTES)
        if made.unconsumed_tail or not made.eof:
            raise NoTableError("The file kept on this page is damaged; choose the file again.")
        return data.decode("utf-8")
    except (binascii.Error, zlib.error, ValueError):
        raise NoTableError("The file kept on this page is damaged; choose the file again.") from None
