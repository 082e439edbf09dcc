"""Reading a PDF back with pypdf: its words, its structure, its pages."""

from collections.abc import Iterator
from io import BytesIO
from typing import Any

from pypdf import PdfReader


def reader(made: bytes) -> PdfReader:
    """The document."""
    return PdfReader(BytesIO(made))


def squeezed(text: str) -> str:
    """Without any space, as lines are broken anywhere."""
    return "".join(text.replace("\u200b", "").split())


def words_of(made: bytes) -> str:
    """All text, squeezed."""
    return squeezed("".join(page.extract_text() for page in reader(made).pages))


def tags(made: bytes) -> list[tuple[str, str]]:
    """(tag, alternative text) of every structure element, in order."""
    return list(_walk(reader(made).trailer["/Root"]["/StructTreeRoot"]["/K"]))


def _walk(node: Any) -> Iterator[tuple[str, str]]:
    one = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(one, list):
        for child in one:
            yield from _walk(child)
    elif isinstance(one, dict):
        if "/S" in one:
            yield str(one["/S"]), str(one.get("/Alt", ""))
        yield from _walk(one.get("/K", []))


def millimetres(made: bytes) -> set[tuple[float, float]]:
    """Width and height of every page, to a tenth."""
    return {
        (round(float(p.mediabox.width) / 72 * 25.4, 1), round(float(p.mediabox.height) / 72 * 25.4, 1))
        for p in reader(made).pages
    }
