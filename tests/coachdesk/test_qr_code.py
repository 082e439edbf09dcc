"""QR codes, read back by a reader of our own that follows ISO/IEC 18004."""

import pytest

from coachdesk.qr_code import qr_svg
from tests.qr_reading import text_of


@pytest.mark.parametrize("length", [1, 14, 26, 27, 42, 43, 62, 63, 84, 85, 106])
def test_a_code_says_what_it_was_given(length: int) -> None:
    text = ("https://desk.example.org/c/Ab-_" * 4)[:length]
    assert text_of(qr_svg(text, label="x")) == text


def test_a_code_is_black_on_white_named_and_without_style() -> None:
    svg = qr_svg("https://desk.example.org/my/", label='<b> "quoted"')
    assert 'role="img" aria-label="&lt;b&gt; &quot;quoted&quot;"' in svg
    assert 'fill="#fff"' in svg
    assert 'stroke="#000"' in svg
    assert "style" not in svg
    assert "<script" not in svg
