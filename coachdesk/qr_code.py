"""An address as a QR code (ISO/IEC 18004), for a page and for paper."""

import segno
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

# Four modules of quiet around it, as the standard asks; level M or better mends what a crease hides, up to 15 %.
QUIET, LEVEL = 4, "m"


def qr_svg(text: str, *, label: str) -> SafeString:
    """The code as an SVG element of class 'qr', black on white in every colour scheme; `label` says what it opens."""
    drawn = segno.make_qr(text, error=LEVEL).svg_inline(
        border=QUIET, omitsize=True, dark="#000", light="#fff", svgclass="qr", lineclass=None
    )
    return mark_safe(drawn.replace("<svg ", f'<svg role="img" aria-label="{escape(label)}" ', 1))
