"""A PDF as an answer: shown in the browser, saved under a name that tells nobody's name."""

from django.http import HttpResponse


def pdf_answer(made: bytes, name: str) -> HttpResponse:
    """`name` of plain letters, digits and hyphens."""
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(made, content_type="application/pdf", headers=headers)
